/** What the process says to the shell when it ends. */
export const EXIT = {
  /** The command did what it was asked. */
  done: 0,
  /** The project cannot be reported, or `check` found a take that must be recorded again. */
  failed: 1,
  /** The command line is wrong. */
  usage: 2,
  /** A fault of the tool itself (EX_SOFTWARE of BSD sysexits). */
  bug: 70,
} as const;
