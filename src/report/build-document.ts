import { accessibleAccent } from './accent.ts';
import { type Context, createContext, type ReportInput } from './context.ts';
import { buildCover } from './cover.ts';
import type { ReportDocument, Section } from './document.ts';
import { namingStages } from './name-stages.ts';
import { numberDocument } from './number-document.ts';
import { retold } from './retell.ts';
import { adviceSection } from './sections/advice.ts';
import { backgroundSection } from './sections/background.ts';
import { bassSection } from './sections/bass.ts';
import { cautionsSection } from './sections/cautions.ts';
import { changeSection } from './sections/change.ts';
import { claritySection } from './sections/clarity.ts';
import { curvesSection } from './sections/curves.ts';
import { decaySection } from './sections/decay.ts';
import { effectSection } from './sections/effect.ts';
import { glossarySection } from './sections/glossary.ts';
import { issuesSection } from './sections/issues.ts';
import { listenSection } from './sections/listen.ts';
import { methodSection } from './sections/method.ts';
import { passagesSection } from './sections/passages.ts';
import { photosSection } from './sections/photos.ts';
import { planSections } from './sections/plan.ts';
import { reflectionsSection } from './sections/reflections.ts';
import { roomSection } from './sections/room.ts';
import { takesSection } from './sections/takes.ts';
import { valuesSection } from './sections/values.ts';
import { shortText } from './short-text.ts';

export type { ReportInput } from './context.ts';

type SectionBuilder = (context: Context) => Section | null;

/** A client reads the answer, then what it rests on; who measured reads what to mend first. */
const ORDER: Record<'client' | 'self', SectionBuilder[]> = {
  client: [
    roomSection,
    photosSection,
    decaySection,
    changeSection,
    effectSection,
    adviceSection,
    bassSection,
    curvesSection,
    reflectionsSection,
    claritySection,
    passagesSection,
    listenSection,
    backgroundSection,
    valuesSection,
    takesSection,
    methodSection,
    cautionsSection,
    issuesSection,
    glossarySection,
  ],
  self: [
    changeSection,
    decaySection,
    effectSection,
    adviceSection,
    bassSection,
    takesSection,
    curvesSection,
    reflectionsSection,
    claritySection,
    passagesSection,
    listenSection,
    backgroundSection,
    roomSection,
    photosSection,
    valuesSection,
    methodSection,
    cautionsSection,
    issuesSection,
    glossarySection,
  ],
};

/**
 * The whole report as data, numbered and with its cross references resolved. A project without recordings gives a plan of what
 * to record. Everything it says comes from the results, the target and the words: the same input gives the same document.
 */
export function buildDocument(given: ReportInput): ReportDocument {
  const told = inItsLanguage(given);
  const quoted = (title: string) => told.words.plain('document.quoted', { text: shortText(title) });
  const input = { ...told, results: namingStages(told.results, quoted) };
  const context = createContext(input);
  const { project } = input.results;
  const { words } = input;
  const builders = input.results.takes.length === 0 ? [] : ORDER[project.audience];
  const sections = builders.length > 0 ? builders.map((build) => build(context)) : planSections(context);
  const named = project.reference ?? project.title;
  const issue = input.issues?.issues.at(-1)?.issue ?? null;
  const reference = issue === null ? named : words.plain('document.issued', { reference: shortText(named), issue });
  const draft: ReportDocument = {
    language: words.locale,
    title: project.title,
    accent: accessibleAccent(project.branding.colour ?? null),
    cover: buildCover(context),
    sections: sections.filter((section) => section !== null),
    footer: {
      disclaimer: words.plain('document.footer'),
      reference,
      page: words.plain('document.page'),
      of: words.plain('document.of'),
    },
    labels: {
      contents: words.plain('document.contents'),
      skip: words.plain('document.skip'),
      explore: words.plain('document.explore'),
    },
  };
  return numberDocument(draft, {
    section: (number) => words.plain('document.section', { number }),
    figure: (number) => words.plain('document.figure', { number }),
    table: (number) => words.plain('document.table', { number }),
  });
}

/** The input with what the program says in it in the language of the words. */
function inItsLanguage(input: ReportInput): ReportInput {
  const { tell } = input.words;
  return tell ? { ...input, results: retold(input.results, tell), target: retold(input.target, tell) } : input;
}
