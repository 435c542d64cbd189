/** What a report says, as data: the one document that print and screen are made from. Nothing here knows of HTML. */

/** A run of text. Plain strings are shown as they are: whatever a user typed arrives unchanged. */
export type Inline =
  | string
  | { kind: 'strong'; text: Inline[] }
  | { kind: 'emphasis'; text: Inline[] }
  | { kind: 'reference'; to: string; label: string };

/** How a cell is set: `number` lines up its figures, `verdict-*` carries a mark beside its words. */
export type CellTone = 'text' | 'number' | 'quiet' | 'verdict-change' | 'verdict-none' | 'verdict-open';

export interface Cell {
  text: Inline[];
  tone: CellTone;
  /** Marks of the remarks under the table that belong to this cell. */
  marks?: string[];
}

export interface Column {
  title: Inline[];
  /** Unit, shown under the title. */
  unit: string | null;
  align: 'start' | 'end';
}

export interface Row {
  /** What the row is about. */
  head: Inline[];
  cells: Cell[];
}

export interface Paragraph {
  kind: 'paragraph';
  tone: 'plain' | 'lead' | 'small';
  text: Inline[];
}

export interface List {
  kind: 'list';
  ordered: boolean;
  items: Inline[][];
}

export interface Subheading {
  kind: 'subheading';
  id: string;
  text: Inline[];
}

/** Pairs of a term and what is said of it. */
export interface Facts {
  kind: 'facts';
  items: { term: Inline[]; detail: Inline[] }[];
}

export interface Table {
  kind: 'table';
  id: string;
  /** `Table 3`, filled in when the document is numbered. */
  label: string;
  caption: Inline[];
  /** Heading of the first column, the one that holds the row heads. */
  head: Column;
  columns: Column[];
  rows: Row[];
  /** Remarks under the table, each with the mark its cells carry, or none. */
  remarks: { mark: string | null; text: Inline[] }[];
}

/** A figure by its words; its drawing, which may still be being made, is whoever shows the document's to add. */
export interface FigureBlock {
  kind: 'figure';
  id: string;
  /** `Figure 2`, filled in when the document is numbered. */
  label: string;
  caption: Inline[];
  /** How to read it. */
  reading: Inline[];
  alt: string;
}

export interface Note {
  kind: 'note';
  tone: 'caution' | 'limit' | 'remark';
  title: Inline[];
  text: Inline[][];
}

/** Two clips to be heard against each other. It stands on screen only; what it plays is told by a table beside it. */
export interface Player {
  kind: 'player';
  id: string;
  title: Inline[];
  sides: [before: PlayerSide, after: PlayerSide];
  labels: Record<PlayerLabel, string>;
  /** Shown in place of the player where the clips are not in the page. */
  left_out: Inline[];
}

export interface PlayerSide {
  /** Before or after, in words. */
  side: string;
  /** The stage. */
  name: string;
  /** The clip, relative to the report folder. */
  file: string;
}

/** What the controls of a player say; `now` and `seconds` hold their gaps as {side}, {name} and {value}. */
export const PLAYER_LABELS = ['play', 'loop', 'place', 'from', 'to', 'seconds', 'paused', 'now', 'trace'] as const;
export type PlayerLabel = (typeof PLAYER_LABELS)[number];

/** Pictures side by side, each a numbered figure. */
export interface Photos {
  kind: 'photos';
  items: {
    id: string;
    /** `Figure 2`, filled in when the document is numbered. */
    label: string;
    caption: Inline[];
    alt: string;
    /** The picture, relative to the project folder. */
    file: string;
  }[];
}

export type Block = Paragraph | List | Subheading | Facts | Table | FigureBlock | Note | Player | Photos;

export interface Section {
  id: string;
  /** Counted from 1, filled in when the document is numbered. */
  number: number;
  title: string;
  /** Whether the section starts a new page in print. */
  opens_page: boolean;
  blocks: Block[];
}

/** A number set large on the cover, with its interval and what it is. */
export interface KeyFigure {
  label: Inline[];
  value: string;
  interval: string | null;
}

export interface Cover {
  reference: string | null;
  /** Which issue of the report this is. */
  issue: string | null;
  date: string;
  kind: string;
  title: string;
  client: string | null;
  prepared_by: string | null;
  address: string[];
  /** The answer in one sentence. */
  answer: Inline[];
  /** Is it enough, how sure, what next: a sentence or two each. */
  points: { term: Inline[]; detail: Inline[] }[];
  key_figures: KeyFigure[];
  figure: FigureBlock | null;
  disclaimer: { title: string; text: Inline[] };
}

export interface ReportDocument {
  /** BCP 47. */
  language: string;
  title: string;
  /** A brand colour that was checked for contrast, as #rrggbb, for light and for dark paper. */
  accent: { light: string; dark: string };
  cover: Cover;
  sections: Section[];
  /** On every page. */
  footer: { disclaimer: string; reference: string; page: string; of: string };
  labels: { contents: string; skip: string; explore: string };
}
