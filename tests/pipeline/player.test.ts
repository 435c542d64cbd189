import type { Browser, Page } from 'puppeteer-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type FoundBrowser, findBrowsers, launchBrowser } from '../../pipeline/browser.ts';
import { embedClips } from '../../pipeline/embed-clips.ts';
import type { PreparedPair } from '../../pipeline/listen.ts';
import { renderPage } from '../../pipeline/page.ts';
import { encodeWav } from '../../src/audio/encode-wav.ts';
import { fixtureDocument } from '../report/build-fixture.ts';
import { fixtureResults, SHAPES } from '../report/fixture.ts';

/** One to look with: a pointer that leaves a chart was seen to be lost by a headless shell, which is made for printing. */
async function browserWithWindows(): Promise<FoundBrowser | null> {
  let first: FoundBrowser | null = null;
  for await (const one of findBrowsers()) {
    first ??= one;
    if (!one.executable.includes('headless-shell')) return one;
  }
  return first;
}

const found = await browserWithWindows();
const RATE_HZ = 16000;
const SECONDS = 2;
/** Before is a low tone and after a high one, so that what is heard tells itself. Both fill whole numbers of periods in 5 ms. */
const TONES_HZ = [400, 2000] as const;

function tone(frequency_hz: number): Uint8Array {
  const samples = Float64Array.from(
    { length: RATE_HZ * SECONDS },
    (_, i) => 0.5 * Math.sin((2 * Math.PI * frequency_hz * i) / RATE_HZ),
  );
  return encodeWav(samples, RATE_HZ, 24);
}

const invented = fixtureResults(SHAPES.bedroom);
const [from, to] = [invented.project.stages[0]!.id, invented.project.stages.at(-1)!.id];
const clip = (name: string) => ({ file: `listen/${name}.wav`, recording: 'a.wav', onset_s: 0, gain_db: 0 });
const pair: PreparedPair = {
  wavs: [tone(TONES_HZ[0]), tone(TONES_HZ[1])],
  entry: { from, to, position: 'A', matched_by: 'direct-sound', clips: [clip('one'), clip('other')] },
};
const SVG =
  '<svg role="img" aria-label="c" viewBox="0 0 100 50"><path data-tip="125 Hz: 0.5 s" d="M10,10h5v5h-5z"/><path data-tip="250 Hz: &lt;b&gt;0.4 s" d="M80,30h5v5h-5z"/></svg>';
const figures = [{ id: 'quality', title: 'Chart', alt: 'c' }];
const drawings = new Map([['quality', SVG]]);
const reported = fixtureDocument({ ...invented, listening: [pair.entry] }, figures);
const clips = embedClips(reported, [pair]);
const html = await renderPage(reported, { logo: null, paper: 'a4', medium: 'screen', clips, drawings });

/** Keeps what every context of the page sends to its output, as `heard`, one array of samples a block. */
const TAP = `
  window.heard = [];
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (target, ...rest) {
    const { context } = this;
    if (target === context.destination) {
      if (!context.tap) {
        context.tap = context.createScriptProcessor(1024, 1, 1);
        context.tap.onaudioprocess = ({ inputBuffer }) => window.heard.push([...inputBuffer.getChannelData(0)]);
        connect.call(context.tap, target);
        window.rate = context.sampleRate;
      }
      connect.call(this, context.tap);
    }
    return connect.call(this, target, ...rest);
  };`;

/** Share of the energy that lies at a frequency (Goertzel). */
function share(samples: readonly number[], frequency_hz: number, rate_hz: number): number {
  let [re, im, energy] = [0, 0, 0];
  samples.forEach((value, i) => {
    const phase = (2 * Math.PI * frequency_hz * i) / rate_hz;
    re += value * Math.cos(phase);
    im += value * Math.sin(phase);
    energy += value * value;
  });
  return energy === 0 ? 0 : (2 * (re * re + im * im)) / (samples.length * energy);
}

describe.skipIf(found === null)('the page for the screen', () => {
  let browser: Browser;
  let page: Page;
  const requests: string[] = [];
  const errors: string[] = [];

  beforeAll(async () => {
    browser = await launchBrowser(found!);
    page = await browser.newPage();
    page.on('request', (request) => requests.push(request.url()));
    page.on('pageerror', (error) => errors.push(String(error)));
    // The tap of this test is old-fashioned, and the browser says so.
    page.on('console', (message) => message.text().includes('ScriptProcessorNode') || errors.push(message.text()));
    await page.evaluateOnNewDocument(TAP);
    await page.goto('about:blank');
    await page.setContent(html, { waitUntil: 'load' });
  });
  afterAll(async () => {
    await browser.close();
  });

  const wait = (ms: number) => new Promise((done) => setTimeout(done, ms));
  const text = (selector: string) => page.$eval(selector, (part) => part.textContent?.trim());
  const pressed = (selector: string) => page.$eval(selector, (part) => part.getAttribute('aria-pressed'));
  const place = () =>
    page.evaluate("Number(document.querySelector('.sliders .place').value) / 1000") as Promise<number>;
  const taken = async () => {
    const blocks = (await page.evaluate('window.heard.splice(0)')) as number[][];
    return { samples: blocks.flat(), rate_hz: (await page.evaluate('window.rate')) as number };
  };

  /** What was sent out until its end is a pure tone: on a busy machine the tap loses blocks, and the tone its phase. */
  const heard = async (frequency_hz: number) => {
    const samples: number[] = [];
    for (let tries = 0; tries < 20; tries++) {
      await wait(400);
      const next = await taken();
      samples.push(...next.samples);
      if (share(next.samples.slice(-4000), frequency_hz, next.rate_hz) > 0.98) return { ...next, samples };
    }
    throw new Error(`no pure tone of ${frequency_hz} Hz is heard`);
  };

  it('shows the controls and puts the plain players away', async () => {
    expect(await page.evaluate("document.querySelector('.plain-sound').hidden")).toBe(true);
    expect(await page.evaluate("document.querySelector('.deck').hidden")).toBe(false);
  });

  it('plays before first, and one button switches to after without a gap, while both run on', async () => {
    await page.click('.play');
    expect(await pressed('.play')).toBe('true');
    expect(await text('.now')).toMatch(/^Playing: Before, /);
    await heard(TONES_HZ[0]);

    const placed = await place();
    await page.click('.switch');
    expect(await text('.now')).toMatch(/^Playing: After, /);
    const across = await heard(TONES_HZ[1]);
    expect(await place()).not.toBe(placed);
    // Halfway through the fade of 8 ms each tone has half its amplitude: the mean over any 5 ms stays over a third of a tone's.
    const stretch = Math.round(0.005 * across.rate_hz);
    const levels = Array.from({ length: Math.floor(across.samples.length / stretch) }, (_, k) => {
      const part = across.samples.slice(k * stretch, (k + 1) * stretch);
      return Math.sqrt(part.reduce((sum, value) => sum + value * value, 0) / stretch);
    });
    expect(levels.length).toBeGreaterThan(30);
    expect(levels.filter((level) => level < 0.5 * Math.SQRT1_2 * 0.33)).toEqual([]);
  });

  it('loops the part that was chosen, past the end of the clip', async () => {
    const set = (name: string, value: number) =>
      page.evaluate(
        `{ const slider = document.querySelector('.sliders .${name}'); slider.value = '${value}'; slider.dispatchEvent(new Event('input')); }`,
      );
    await set('from', 300);
    await set('to', 500);
    expect(await pressed('.repeat')).toBe('true');
    const places: number[] = [];
    for (let i = 0; i < 12; i += 1) {
      await wait(110);
      places.push(await place());
    }
    expect(Math.min(...places)).toBeGreaterThanOrEqual(0.295);
    expect(Math.max(...places)).toBeLessThanOrEqual(0.505);
    expect(places.some((value, i) => i > 0 && value < places[i - 1]!)).toBe(true);
    expect(await pressed('.play')).toBe('true');
    await page.click('.repeat');
    await wait(1600);
    expect(await pressed('.play')).toBe('false');
  });

  it('can be worked from the keyboard, in the order it is read', async () => {
    await page.focus('.play');
    const order: string[] = [];
    for (let i = 0; i < 6; i += 1) {
      order.push((await page.evaluate('document.activeElement.className')) as string);
      await page.keyboard.press('Tab');
    }
    expect(order).toEqual(['play', 'repeat', 'switch', 'place', 'from', 'to']);
    const was = await pressed('.switch');
    await page.focus('.switch');
    await page.keyboard.press('Space');
    expect(await pressed('.switch')).not.toBe(was);
    await page.focus('.sliders .place');
    await page.keyboard.press('End');
    expect(await page.$eval('.sliders .place', (part) => part.getAttribute('aria-valuetext'))).toBe('2.00 s');
  });

  it('tells the values of a chart to a pointer and to the arrow keys, as text', async () => {
    const tip = () => page.$eval('.tip', (part) => [part.classList.contains('shown'), part.textContent]);
    const mark = await page.$('[data-tip]');
    await mark!.scrollIntoView();
    const box = (await mark!.boundingBox())!;
    await page.mouse.move(box.x + box.width + 8, box.y + box.height / 2);
    await expect.poll(tip).toEqual([true, '125 Hz: 0.5 s']);
    await page.mouse.move(5, 5);
    await expect.poll(async () => (await tip())[0]).toBe(false);
    await page.focus('.plot:has([data-tip])');
    await page.keyboard.press('ArrowRight');
    await expect.poll(tip).toEqual([true, '250 Hz: <b>0.4 s']);
    await page.keyboard.press('Home');
    await expect.poll(tip).toEqual([true, '125 Hz: 0.5 s']);
    await page.keyboard.press('Escape');
    await expect.poll(async () => (await tip())[0]).toBe(false);
  });

  it('asked for nothing outside itself, and nothing went wrong', () => {
    expect(requests.filter((url) => !/^(data|about):/.test(url))).toEqual([]);
    expect(errors).toEqual([]);
  });
});

describe('embedClips(document, pairs, most_bytes)', () => {
  it('leaves out the pair that would make the page too large', async () => {
    expect(clips.size).toBe(2);
    const none = embedClips(reported, [pair], 1000);
    expect(none.size).toBe(0);
    const small = await renderPage(reported, { logo: null, paper: 'a4', medium: 'screen', clips: none });
    expect(small).toContain('would make the page too large');
    expect(small).not.toContain('<audio');
  });
});
