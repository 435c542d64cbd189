// The only script of a report: it plays two clips against each other, and says the values of charts. It fetches nothing.

/** Long enough to hide the switch, too short to hear as a fade. */
const CROSSFADE_S = 0.008;
/** A start so far ahead, so that both clips are ready for it. */
const AHEAD_S = 0.03;
const SHORTEST_PART_S = 0.05;

/** The samples of a WAV file of one channel and 16 bits, as a report embeds it. */
function readWav(base64) {
  const text = atob(base64);
  const bytes = Uint8Array.from(text, (letter) => letter.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  const rate = view.getUint32(24, true);
  const samples = new Float32Array((bytes.length - 44) / 2);
  for (let i = 0; i < samples.length; i += 1) samples[i] = view.getInt16(44 + 2 * i, true) / 32768;
  return { rate, samples };
}

class Deck {
  constructor(player) {
    this.root = player.querySelector('.deck');
    this.sounds = [...player.querySelectorAll('audio')];
    this.seconds = Number(this.root.dataset.seconds);
    this.labels = JSON.parse(this.root.dataset.labels);
    this.sides = JSON.parse(this.root.dataset.sides);
    this.part = { from: 0, to: this.seconds };
    this.place = 0;
    this.heard = 0;
    this.looping = false;
    this.context = null;
    this.sources = null;
    player.querySelector('.plain-sound').hidden = true;
    this.root.hidden = false;
    for (const name of ['play', 'switch', 'repeat', 'place', 'from', 'to', 'now', 'looped', 'playhead', 'level']) {
      this[`${name}Part`] = this.root.querySelector(`.${name}`);
    }
    this.playPart.addEventListener('click', () => (this.sources ? this.stop() : this.start()));
    this.switchPart.addEventListener('click', () => this.swap());
    this.repeatPart.addEventListener('click', () => this.repeat(!this.looping));
    this.placePart.addEventListener('input', () => this.moveTo(this.valueOf(this.placePart)));
    this.fromPart.addEventListener('input', () => this.choose('from'));
    this.toPart.addEventListener('input', () => this.choose('to'));
    this.watchDrag();
    this.show();
  }

  valueOf(slider) {
    return (Number(slider.value) / 1000) * this.seconds;
  }

  /** Both clips as buffers, made when they are first wanted. */
  prepare() {
    if (this.context) return;
    this.context = new AudioContext();
    this.buffers = this.sounds.map((sound) => {
      const { rate, samples } = readWav(sound.src.slice(sound.src.indexOf(',') + 1));
      const buffer = this.context.createBuffer(1, samples.length, rate);
      buffer.copyToChannel(samples, 0);
      return buffer;
    });
    this.gains = this.buffers.map((_, index) => {
      const gain = this.context.createGain();
      gain.gain.value = index === this.heard ? 1 : 0;
      gain.connect(this.context.destination);
      return gain;
    });
  }

  /** Both start at the same time; which of them is heard is a matter of gain alone. */
  start() {
    this.prepare();
    void this.context.resume();
    if (this.looping && (this.place < this.part.from || this.place >= this.part.to)) this.place = this.part.from;
    if (this.place >= this.seconds) this.place = 0;
    this.began = { at: this.context.currentTime + AHEAD_S, place: this.place };
    this.sources = this.buffers.map((buffer, index) => {
      const source = this.context.createBufferSource();
      source.buffer = buffer;
      source.connect(this.gains[index]);
      this.setLoop(source);
      source.start(this.began.at, this.place);
      return source;
    });
    const started = this.sources;
    started[0].onended = () => {
      if (this.sources !== started) return;
      this.sources = null;
      this.place = 0;
      this.show();
    };
    this.show();
    this.follow();
  }

  stop() {
    this.place = this.now();
    const { sources } = this;
    this.sources = null;
    for (const source of sources) source.stop();
    this.show();
  }

  swap() {
    this.heard = 1 - this.heard;
    if (this.context) {
      const { currentTime } = this.context;
      this.gains.forEach(({ gain }, index) => {
        gain.cancelScheduledValues(currentTime);
        gain.setValueAtTime(gain.value, currentTime);
        gain.linearRampToValueAtTime(index === this.heard ? 1 : 0, currentTime + CROSSFADE_S);
      });
    }
    this.show();
  }

  repeat(on) {
    const place = this.now();
    this.looping = on;
    this.restartAt(on && (place < this.part.from || place >= this.part.to) ? this.part.from : place);
  }

  setLoop(source) {
    source.loop = this.looping;
    source.loopStart = this.part.from;
    source.loopEnd = this.part.to;
  }

  choose(end) {
    const slider = this[`${end}Part`];
    const value = this.valueOf(slider);
    this.choosePart(
      end === 'from'
        ? { from: Math.min(value, this.part.to - SHORTEST_PART_S), to: this.part.to }
        : { from: this.part.from, to: Math.max(value, this.part.from + SHORTEST_PART_S) },
    );
  }

  /** Another part is looped from here on; what lies outside it starts at its beginning. */
  choosePart(part) {
    const place = this.now();
    this.part = { from: Math.max(0, part.from), to: Math.min(this.seconds, part.to) };
    this.looping = true;
    this.restartAt(place < this.part.from || place >= this.part.to ? this.part.from : place);
  }

  moveTo(place) {
    this.restartAt(place);
  }

  restartAt(place) {
    const playing = this.sources !== null;
    if (playing) this.stop();
    this.place = place;
    if (playing) this.start();
    this.show();
  }

  /** The place that is heard, in seconds from the beginning. */
  now() {
    if (!this.sources) return this.place;
    const played = Math.max(0, this.context.currentTime - this.began.at);
    const place = this.began.place + played;
    const { from, to } = this.part;
    if (this.looping && place >= to) return from + ((place - from) % (to - from));
    return Math.min(place, this.seconds);
  }

  follow() {
    if (!this.sources) return;
    this.showPlace();
    requestAnimationFrame(() => this.follow());
  }

  show() {
    const { labels, heard } = this;
    const playing = this.sources !== null;
    this.playPart.setAttribute('aria-pressed', String(playing));
    this.switchPart.setAttribute('aria-pressed', String(heard === 1));
    this.repeatPart.setAttribute('aria-pressed', String(this.looping));
    this.root.classList.toggle('hears-after', heard === 1);
    const { side, name } = this.sides[heard];
    const told = playing
      ? labels.now.replace('{side}', () => side).replace('{name}', () => name)
      : `${labels.paused} (${side})`;
    if (this.nowPart.textContent !== told) this.nowPart.textContent = told;
    for (const end of ['from', 'to']) this.setSlider(this[`${end}Part`], this.part[end]);
    const { width } = this.looped();
    this.loopedPart.setAttribute('x', String((this.part.from / this.seconds) * width));
    this.loopedPart.setAttribute('width', String(((this.part.to - this.part.from) / this.seconds) * width));
    this.loopedPart.classList.toggle('on', this.looping);
    this.showPlace();
  }

  looped() {
    return this.loopedPart.ownerSVGElement.viewBox.baseVal;
  }

  showPlace() {
    const place = this.now();
    const x = String((place / this.seconds) * this.looped().width);
    this.playheadPart.setAttribute('x1', x);
    this.playheadPart.setAttribute('x2', x);
    this.setSlider(this.placePart, place);
  }

  setSlider(slider, seconds) {
    slider.value = String(Math.round((seconds / this.seconds) * 1000));
    const text = seconds.toLocaleString(document.documentElement.lang, {
      minimumFractionDigits: 2,
      maximumFractionDigits: 2,
    });
    slider.setAttribute('aria-valuetext', this.labels.seconds.replace('{value}', text));
  }

  /** A press on the trace moves there, a drag over it chooses the part to loop. */
  watchDrag() {
    const area = this.levelPart;
    const at = (event) => {
      const { left, width } = area.getBoundingClientRect();
      return Math.max(0, Math.min(1, (event.clientX - left) / width)) * this.seconds;
    };
    let pressed = null;
    area.addEventListener('pointerdown', (event) => {
      pressed = at(event);
      area.setPointerCapture(event.pointerId);
    });
    area.addEventListener('pointerup', (event) => {
      if (pressed === null) return;
      const [from, to] = [pressed, at(event)].sort((a, b) => a - b);
      pressed = null;
      if (to - from < SHORTEST_PART_S) this.moveTo(from);
      else this.choosePart({ from, to });
    });
    area.addEventListener('pointercancel', () => {
      pressed = null;
    });
  }
}

/** How near the pointer must come to a mark, in px. */
const NEAR_PX = 24;
/** What is larger is a line. */
const MARK_PX = 60;

/** From the pointer to the edge of a mark, in px; to the middle of a line, whose box holds much that is not line. */
function distance({ clientX, clientY }, { left, top, right, bottom, width, height }) {
  if (Math.max(width, height) > MARK_PX) return Math.hypot(clientX - left - width / 2, clientY - top - height / 2);
  return Math.hypot(Math.max(left - clientX, 0, clientX - right), Math.max(top - clientY, 0, clientY - bottom));
}

/** Shows what the marks of a chart say of themselves, to a pointer near them and to the arrow keys. */
class Marks {
  constructor(plot, tip) {
    this.plot = plot;
    this.tip = tip;
    this.marks = [...plot.querySelectorAll('[data-tip]')];
    this.at = 0;
    plot.addEventListener('pointermove', (event) => this.point(event));
    plot.addEventListener('pointerdown', (event) => this.point(event));
    plot.addEventListener('pointerleave', () => this.hide());
    plot.addEventListener('focus', () => {
      if (plot.matches(':focus-visible')) this.step(this.at);
    });
    plot.addEventListener('blur', () => this.hide());
    plot.addEventListener('keydown', (event) => this.key(event));
  }

  point(event) {
    const under = event.target.closest('[data-tip]');
    let nearest = under;
    let least = under ? 0 : NEAR_PX;
    if (!under) {
      for (const mark of this.marks) {
        const far = distance(event, mark.getBoundingClientRect());
        if (far < least) [nearest, least] = [mark, far];
      }
    }
    if (nearest) this.say(nearest);
    else this.hide();
  }

  key(event) {
    const last = this.marks.length - 1;
    const next = { ArrowRight: this.at + 1, ArrowLeft: this.at - 1, Home: 0, End: last }[event.key];
    if (event.key === 'Escape') this.hide();
    if (next === undefined) return;
    event.preventDefault();
    this.step(Math.max(0, Math.min(last, next)));
  }

  step(at) {
    this.at = at;
    const mark = this.marks[at];
    mark.scrollIntoView({ block: 'nearest', inline: 'nearest' });
    this.say(mark);
  }

  say(mark) {
    this.hide();
    mark.classList.add('pointed');
    this.said = mark;
    const { tip } = this;
    tip.textContent = mark.dataset.tip;
    tip.classList.add('shown');
    const box = mark.getBoundingClientRect();
    const wide = document.documentElement.clientWidth;
    const left = Math.max(8, Math.min(box.left + box.width / 2 - tip.offsetWidth / 2, wide - tip.offsetWidth - 8));
    const above = box.top - tip.offsetHeight - 10;
    tip.style.left = `${left + scrollX}px`;
    tip.style.top = `${(above > 0 ? above : box.bottom + 10) + scrollY}px`;
  }

  hide() {
    this.said?.classList.remove('pointed');
    this.tip.classList.remove('shown');
  }
}

for (const player of document.querySelectorAll('.player')) if (player.querySelector('.deck')) new Deck(player);

const tip = document.querySelector('.tip');
for (const plot of document.querySelectorAll('.plot')) if (plot.querySelector('[data-tip]')) new Marks(plot, tip);
