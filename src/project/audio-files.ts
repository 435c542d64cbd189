/** The folder of a project that holds its recordings. */
export const RECORDINGS = 'recordings';

/** Endings of files that hold sound, in small letters. Which of them can be decoded is found out when they are opened. */
export const AUDIO_ENDINGS = [
  'wav',
  'wave',
  'bwf',
  'rf64',
  'w64',
  'aif',
  'aiff',
  'aifc',
  'caf',
  'flac',
  'mp3',
  'm4a',
  'aac',
  'ogg',
  'oga',
  'opus',
  'wma',
  'amr',
  '3gp',
  'mp4',
  'mov',
] as const;

/** Whether a file holds sound, judged by its ending. Names that begin with a dot are an operating system's own. */
export function isAudioFile(path: string): boolean {
  const name = path.slice(path.lastIndexOf('/') + 1);
  const ending = name.slice(name.lastIndexOf('.') + 1).toLowerCase();
  return !name.startsWith('.') && name.includes('.') && (AUDIO_ENDINGS as readonly string[]).includes(ending);
}

/** Returns those of some files that hold sound, judged by their endings. */
export function audioFiles(files: readonly string[]): string[] {
  return files.filter(isAudioFile);
}
