/** What the process says to the shell when it ends. */
export const EXIT = {
  /** The command did what it was asked. */
  done: 0,
  /** The project cannot be reported, `check` found a take that must be recorded again, or the tool itself failed. */
  failed: 1,
  /** The command line is wrong. */
  usage: 2,
} as const;
