#!/usr/bin/env node
import { stat } from 'node:fs/promises';
import { printable } from '../src/project/diagnostic.ts';
import { type CommandLine, helpText, readCommandLine } from './command-line.ts';
import { EXIT } from './exit.ts';
import { packageVersion } from './resources.ts';
import { systemReason } from './system-reason.ts';

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
  for (const folder of line.folders) {
    const message = await notAFolder(folder);
    if (message !== null) return usage(message);
  }
  if (line.ask === 'signal') {
    const { signalCommand } = await import('./signal.ts');
    return signalCommand(line.folders[0]!, line.values);
  }
  const json = line.switches.has('json');
  if (line.ask === 'check') {
    const { check } = await import('./check.ts');
    return check(line.folders, { json });
  }
  const { report } = await import('./report.ts');
  return report(line.folders, { json, pdf: !line.switches.has('no-pdf') });
}

/** Why a path is no folder to work on, in a sentence; null where it is one. */
async function notAFolder(path: string): Promise<string | null> {
  try {
    if ((await stat(path)).isDirectory()) return null;
    return `${path} is a file: name the folder it is in`;
  } catch (fault) {
    return `${path}: ${systemReason(fault)}: name a project folder, or make one with "decaybook new"`;
  }
}

function usage(message: string): number {
  process.stderr.write(`decaybook: ${printable(message)}\n`);
  return EXIT.usage;
}

/** The one place where a fault ends: no stack trace reaches a user, and a fault of the tool says how to report it. */
function explain(fault: unknown): number {
  const error = fault instanceof Error ? fault : new Error(String(fault));
  if (process.env.DECAYBOOK_DEBUG) process.stderr.write(`${error.stack}\n`);
  const { path } = error as NodeJS.ErrnoException;
  process.stderr.write(`decaybook: ${printable(reasonOf(error, path))}\n`);
  return EXIT.failed;
}

function reasonOf(error: Error, path: string | undefined): string {
  try {
    const reason = systemReason(error);
    return `${path ?? 'the system'}: ${reason}: mend that and run the command again`;
  } catch {
    const what = `${error.name}: ${error.message.split('\n')[0]}`;
    return `a fault of the tool itself (${what}): please report it with this line, and with what DECAYBOOK_DEBUG=1 adds to it`;
  }
}

// A reader that has seen enough, such as `head`, closes the pipe: that is no fault.
process.stdout.on('error', (fault: NodeJS.ErrnoException) => {
  process.exit(fault.code === 'EPIPE' ? EXIT.done : explain(fault));
});

process.exitCode = await main(process.argv.slice(2)).catch(explain);
