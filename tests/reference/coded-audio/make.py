"""Makes the coded files beside it: 0.5 s of silence, then a tone of 997 Hz, peak -20 dBFS, 1.0 s, two channels, the right 6.02 dB lower.

Run with: python3 make.py (needs ffmpeg; the version that made them is in VERSION.txt). Encoders differ in their bytes, not
in what the tests ask: rate, channels, level, and when the tone starts.
"""
import math
import os
import struct
import subprocess
import wave

RATE = 48000
with wave.open("tone.wav", "wb") as out:
    out.setnchannels(2)
    out.setsampwidth(2)
    out.setframerate(RATE)
    frames = bytearray()
    for n in range(int(1.5 * RATE)):
        x = 0.1 * math.sin(2 * math.pi * 997 * n / RATE) if n >= RATE // 2 else 0.0
        frames += struct.pack("<hh", round(32767 * x), round(32767 * x / 2))
    out.writeframes(bytes(frames))

PICTURE = ["-f", "lavfi", "-i", "color=c=gray:s=16x16:r=5:d=1.5"]
FILES = {
    "tone.flac": ["-c:a", "flac"],
    "tone.mp3": ["-c:a", "libmp3lame", "-b:a", "128k"],
    "tone.aac": ["-c:a", "aac", "-b:a", "96k"],
    "tone.m4a": ["-c:a", "aac", "-b:a", "96k"],
    "tone-lossless.m4a": ["-c:a", "alac"],
    "tone.ogg": ["-c:a", "libvorbis", "-q:a", "3"],
    "tone.opus": ["-c:a", "libopus", "-b:a", "64k"],
    "film.mp4": [*PICTURE, "-c:v", "mpeg4", "-c:a", "aac", "-b:a", "96k", "-map", "1:v", "-map", "0:a"],
    "film.mov": [*PICTURE, "-c:v", "mpeg4", "-c:a", "aac", "-b:a", "96k", "-map", "1:v", "-map", "0:a"],
}
for name, options in FILES.items():
    inputs = [o for o in options if o in PICTURE]
    rest = options[len(inputs):]
    subprocess.run(["ffmpeg", "-v", "error", "-y", "-i", "tone.wav", *inputs, *rest, "-fflags", "+bitexact", name], check=True)
os.remove("tone.wav")
version = subprocess.run(["ffmpeg", "-version"], capture_output=True, text=True, check=True).stdout.split("\n")[0]
with open("VERSION.txt", "w") as out:
    out.write(version.split(" Copyright")[0] + "\n")
