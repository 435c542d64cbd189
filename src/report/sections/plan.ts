import { type Context, quotedStage, stageTitle } from '../context.ts';
import type { Row, Section } from '../document.ts';
import { textCell } from '../phrases.ts';
import { shortText } from '../short-text.ts';
import { adviceSection } from './advice.ts';
import { cautionsSection } from './cautions.ts';
import { glossarySection } from './glossary.ts';
import { powerBlocks } from './planning.ts';
import { roomSection } from './room.ts';
import { column, paragraph, section, table } from './section.ts';

const STEPS = ['stage', 'places', 'mark', 'gain', 'claps', 'quiet', 'files', 'check'] as const;

/** What a project without recordings gets: what to record first and how, what its surfaces and options make one expect, the room as stated, the cautions. */
export function planSections(context: Context): Section[] {
  const predicted = context.results.advice?.forecast_from === 'surfaces' ? adviceSection(context) : null;
  return [
    firstSection(context),
    ...(predicted ? [predicted] : []),
    roomSection(context),
    cautionsSection(context),
    glossarySection(context),
  ];
}

function firstSection(context: Context): Section {
  const { words, results } = context;
  const first = results.project.stages[0]!;
  const step = (key: string) =>
    words.say(`plan.step.${key}`, { stage: key === 'files' ? first.id : quotedStage(context, first.id) });
  const rows = results.project.stages.map(
    (stage): Row => ({
      head: [stageTitle(context, stage.id)],
      cells: [
        textCell(`recordings/${stage.id}/`),
        textCell(
          stage.treatments.map((treatment) => shortText(treatment.name)).join('; ') ||
            words.say('room.stages.untreated'),
        ),
      ],
    }),
  );
  return {
    ...section(context, 'plan.first', [
      paragraph(words.say('plan.first.lead'), 'lead'),
      { kind: 'list', ordered: true, items: STEPS.map(step) },
      table({
        id: 'plan-stages',
        caption: words.say('plan.stages.caption'),
        head: column(words.say('plan.stages.head')),
        columns: [column(words.say('plan.stages.folder')), column(words.say('plan.stages.what'))],
        rows,
      }),
      ...powerBlocks(context),
    ]),
    id: 'plan',
  };
}
