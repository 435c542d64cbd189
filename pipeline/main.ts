#!/usr/bin/env node
import { realpath, stat } from 'node:fs/promises';
import { type CommandLine, helpText, readCommandLine } from './command-line.ts';
import { EXIT } from './exit.ts';
import { expandFolders } from './expand-folders.ts';
import { faultText } from './fault-text.ts';
import { packageVersion } from './resources.ts';
import { systemReason } from './system-reason.ts';
import { told } from './terminal.ts';

// Commands are imported when they are asked for: `check` loads neither charts nor browser, `--help` hardly anything.

/** Does what the command line asks, and returns the exit status. */
async function main(args: readonly string[]): Promise<number> {
  const line = readCommandLine(args);
  switch (line.ask) {
    case 'help':
      process.stdout.write(helpText());
      return EXIT.done;
    case 'version':
      process.stdout.write(`${packageVersion()}\n`);
      return EXIT.done;
    case 'nothing':
      return usage(line.message);
    case 'new': {
      const { newCommand } = await import('./new.ts');
      return newCommand(line.folders[0]!, { values: line.values, sheet: line.switches.has('sheet') });
    }
    default:
      return onFolders(line);
  }
}

async function onFolders(line: Extract<CommandLine, { folders: string[] }>): Promise<number> {
  const { folders, unmatched } = await expandFolders(line.folders);
  if (unmatched.length > 0)
    return usage(`${unmatched[0]} fits no project folder: name a folder with a project.yaml in it`);
  for (const folder of folders) {
    const message = await notAFolder(folder);
    if (message !== null) return usage(message);
  }
  if (line.ask === 'signal') {
    const { signalCommand } = await import('./signal.ts');
    return signalCommand(line.folders[0]!, line.values);
  }
  for (const folder of line.allow) {
    const message = await notAFolder(folder, 'name a folder that is there');
    if (message !== null) return usage(`--allow: ${message}`);
  }
  const allow = await Promise.all(line.allow.map((folder) => realpath(folder)));
  const json = line.switches.has('json');
  const jobs = jobsOf(line.values.get('jobs'));
  if (jobs !== undefined && !(jobs >= 1)) return usage('--jobs needs a number from 1 up: how many threads to use');
  if (line.ask === 'check') {
    const { check } = await import('./check.ts');
    return check(folders, { json, jobs, allow, explain: line.switches.has('explain') });
  }
  if (line.ask === 'watch') {
    const port = line.values.get('port') ?? '0';
    if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535)
      return usage('--port needs a number from 0 to 65535: leave it out for any that is free');
    const serve = line.switches.has('serve') || line.values.has('port') ? { port: Number(port) } : null;
    const { watchCommand } = await import('./watch.ts');
    return watchCommand(folders[0]!, { jobs, allow, serve, pdf: !line.switches.has('no-pdf') });
  }
  const { report } = await import('./report-command.ts');
  return report(folders, {
    json,
    jobs,
    allow,
    pdf: !line.switches.has('no-pdf'),
    explain: line.switches.has('explain'),
  });
}

/** How many threads are asked for; undefined where nothing is said, not a number where it is none. */
function jobsOf(value: string | undefined): number | undefined {
  if (value === undefined) return undefined;
  return /^\d{1,4}$/.test(value) ? Number(value) : Number.NaN;
}

const NO_PROJECT = 'name a project folder, or make one with "decaybook new"';

/** Why a path is no folder to work on, in a sentence; null where it is one. */
async function notAFolder(path: string, mend = NO_PROJECT): Promise<string | null> {
  try {
    if ((await stat(path)).isDirectory()) return null;
    return `${path} is a file: name the folder it is in`;
  } catch (fault) {
    return `${path}: ${systemReason(fault)}: ${mend}`;
  }
}

function usage(message: string): number {
  process.stderr.write(`${told(`decaybook: ${message}`, process.stderr)}\n`);
  return EXIT.usage;
}

/** The one place where a fault ends: no stack trace reaches a user, and a fault of the tool says how to report it. */
function explain(fault: unknown): number {
  const error = fault instanceof Error ? fault : new Error(String(fault));
  if (process.env.DECAYBOOK_DEBUG) process.stderr.write(`${error.stack}\n`);
  process.stderr.write(`${told(`decaybook: ${faultText(error)}`, process.stderr)}\n`);
  return EXIT.failed;
}

// A reader that has seen enough, such as `head`, closes the pipe: that is no fault.
process.stdout.on('error', (fault: NodeJS.ErrnoException) => {
  process.exit(fault.code === 'EPIPE' ? EXIT.done : explain(fault));
});

// Unless it is known otherwise in the end.
process.exitCode = EXIT.failed;
main(process.argv.slice(2))
  .catch(explain)
  .then((status) => {
    process.exitCode = status;
  });
