import { parseArgs } from 'node:util';
import { didYouMean } from '../src/project/did-you-mean.ts';

interface CommandForm {
  /** Flags with no value. */
  switches: readonly string[];
  /** Flags with one. */
  values: readonly string[];
  folders: 'one' | 'some';
  summary: string;
}

/** The commands there are. */
export const COMMANDS = {
  new: {
    switches: ['sheet'],
    values: ['title', 'purpose', 'room'],
    folders: 'one',
    summary: 'a project folder to fill in, with a recording sheet to take into the room',
  },
  signal: {
    switches: [],
    values: ['seconds', 'repeats', 'rate', 'level', 'from', 'to', 'tail'],
    folders: 'one',
    summary: 'the sweep to play, as sweep.wav, and sweep.json, which says what it is',
  },
  check: {
    switches: ['json', 'explain'],
    values: ['jobs', 'allow'],
    folders: 'some',
    summary: 'seconds: the file, every take, what to record again and why',
  },
  report: {
    switches: ['json', 'no-pdf', 'explain'],
    values: ['jobs', 'allow'],
    folders: 'some',
    summary: 'the whole report',
  },
  watch: {
    switches: ['no-pdf', 'serve'],
    values: ['jobs', 'allow', 'port'],
    folders: 'one',
    summary: 'the report again whenever something changes, and what moved',
  },
} as const satisfies Record<string, CommandForm>;

export type CommandName = keyof typeof COMMANDS;

/** What a command line asks for; or, in one sentence, what is wrong with it. */
export type CommandLine =
  | { ask: 'help' | 'version' }
  | { ask: CommandName; folders: string[]; switches: Set<string>; values: Map<string, string>; allow: string[] }
  | { ask: 'nothing'; message: string };

/** Returns what the arguments after the name of the program ask for. Never throws. */
export function readCommandLine(args: readonly string[]): CommandLine {
  const wrong = (message: string): CommandLine => ({ ask: 'nothing', message });
  const valued = Object.values(COMMANDS).flatMap(({ values }): readonly string[] => values);
  const options = Object.fromEntries(valued.map((name) => [name, { type: 'string' as const }]));
  const { tokens } = parseArgs({ args: [...args], options, strict: false, tokens: true, allowPositionals: true });
  const flags = tokens.filter((token) => token.kind === 'option');
  const words = tokens.flatMap((token) => (token.kind === 'positional' ? [token.value] : []));
  if (flags.some(({ name }) => name === 'help' || name === 'h')) return { ask: 'help' };
  if (flags.some(({ name }) => name === 'version' || name === 'V')) return { ask: 'version' };

  const [name, ...folders] = words;
  if (name === undefined)
    return args.length === 0 ? { ask: 'help' } : wrong('no command is named: see "decaybook --help"');
  if (name === 'help') return { ask: 'help' };
  if (!isCommand(name)) return wrong(`"${name}" is no command: ${guessed(name, Object.keys(COMMANDS))}`);

  const form: CommandForm = COMMANDS[name];
  const switches = new Set<string>();
  const values = new Map<string, string>();
  const allow: string[] = [];
  for (const { name: flag, rawName, value } of flags) {
    if (form.switches.includes(flag) && value === undefined) switches.add(flag);
    else if (form.switches.includes(flag)) return wrong(`${rawName} takes no value: leave "=${value}" out`);
    else if (!form.values.includes(flag)) {
      const known = [...form.switches, ...form.values].map((known) => `--${known}`);
      return wrong(`"${name}" has no option ${rawName}: ${guessed(rawName, known)}`);
    } else if (value === undefined) return wrong(`${rawName} needs a value: write ${rawName} and the value after it`);
    else if (flag === 'allow') allow.push(value);
    else values.set(flag, value);
  }
  if (folders.length === 0) return wrong(`"${name}" needs a folder: write "decaybook ${name} my-room"`);
  if (folders.length > 1 && form.folders === 'one') return wrong(`"${name}" takes one folder: name just one`);
  if (folders.includes('')) return wrong('a folder name is empty: write "." for the folder you are in');
  return { ask: name, folders, switches, values, allow };
}

/** Returns the page that `--help` prints. */
export function helpText(): string {
  return `Decaybook turns recordings made before and after a room is treated into a
report that says what changed, by how much, and how sure that is.

  decaybook new DIR          ${COMMANDS.new.summary.replace(', with', ',\n                             with')}
  decaybook signal DIR       ${COMMANDS.signal.summary.replace(', and', '\n                             and')}
  decaybook check DIR...     ${COMMANDS.check.summary.replace(' and why', '\n                             and why')}
  decaybook report DIR...    ${COMMANDS.report.summary}
  decaybook watch DIR        ${COMMANDS.watch.summary.replace(', and', ',\n                             and')}

Options of new
  --title TEXT         name of the room or job
  --purpose WORD       speech-recording, music-practice, mixing, meeting,
                       classroom or other
  --room 5.2x3.6x2.6   length, width and height in metres, for the distances on
                       the sheet
  --sheet              write the sheet again, for a project already filled in

Options of signal
  --seconds 12         length of one sweep
  --repeats 3          how many times it is played
  --tail 4             seconds of silence after each: longer than the decay
  --from 30 --to 18000 first and last frequency, in Hz
  --rate 48000         samples a second
  --level -12          peak, in dB relative to full scale

Options of check, report and watch
  --json               print one JSON object and nothing else (not watch)
  --no-pdf             all but the PDF (not check)
  --explain            say of every step why it ran, or that it was kept (not
                       watch)
  --jobs 2             threads to use; as many as there are processors if left
                       out
  --allow DIR          read recordings and the logo from this folder too, where
                       the project file or a link in the project leads there;
                       may be given more than once
  --serve              watch: show the page at an address of this machine only,
                       and show it again when it has changed
  --port 8010          watch: the port to serve at; any free one if left out

A pattern such as "jobs/*" stands for the project folders that it fits.

  --help               this page
  --version            the version

Exit status: 0 done; 1 the project cannot be reported, or, from check, a take
must be recorded again; 2 the command line is wrong.
`;
}

function isCommand(name: string): name is CommandName {
  return Object.hasOwn(COMMANDS, name);
}

function guessed(word: string, known: readonly string[]): string {
  const guess = didYouMean(word, known);
  if (guess !== null) return `did you mean ${guess}?`;
  return known.length === 0 ? 'leave it out' : `use ${known.join(', ')}`;
}
