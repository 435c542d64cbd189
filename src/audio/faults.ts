/** Every fault the tool can name, with its severity. The list is closed, and printed in the README. */
export const FAULT_SEVERITY = {
  unreadable: 'reject',
  'too-short': 'reject',
  'no-event': 'reject',
  silent: 'reject',
  clipped: 'reject',
  'automatic-gain': 'reject',
  'noise-gate': 'reject',
  'events-too-close': 'reject',
  dropout: 'reject',
  duplicate: 'reject',
  'set-aside': 'reject',
  'rate-too-low': 'reject',
  undescribed: 'reject',
  'lossy-coding': 'warn',
  'mains-hum': 'warn',
  'low-range': 'warn',
  'no-bass': 'note',
  'dc-offset': 'note',
  'channel-chosen': 'note',
  'kind-guessed': 'note',
} as const satisfies Record<string, FaultSeverity>;

/** reject: not used. warn: used, with a caution. note: said once, changes nothing. */
export type FaultSeverity = 'reject' | 'warn' | 'note';
export type FaultCode = keyof typeof FAULT_SEVERITY;

export interface Fault {
  code: FaultCode;
  severity: FaultSeverity;
  /** A plain sentence: what was found, with its figures, and the mend. */
  message: string;
}
