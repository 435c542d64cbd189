import { describe, expect, it } from 'vitest';
import { findPhotos } from '../../src/project/find-photos.ts';
import { parseProject } from '../../src/project/parse-project.ts';

const text = (stage: string) => `decaybook: 1\ntitle: Room\ndate: 2026-05-12\nstages:\n  - {id: bare}\n  - ${stage}\n`;

function found(stage: string, files: string[]) {
  const { project, placeOf } = parseProject(text(stage), 'project.yaml');
  const { photos, diagnostics } = findPhotos(project!, files, { placeOf });
  return {
    photos: photos.map(({ stage: id, file, caption }) => [id, file, caption]),
    told: diagnostics.map(({ file, line, severity, message }) => `${file}:${line}: ${severity}: ${message}`),
  };
}

describe('findPhotos(project, files, options)', () => {
  it('takes JPEG and PNG of photos/<stage>/ by name, numbers by value, and passes over what is no picture', () => {
    const files = [
      'photos/new/10.jpg',
      'photos/new/2.PNG',
      'photos/bare/a.jpeg',
      'photos/new/notes.txt',
      'photos/x.jpg',
    ];
    expect(found('{id: new}', files)).toEqual({
      photos: [
        ['bare', 'photos/bare/a.jpeg', null],
        ['new', 'photos/new/2.PNG', null],
        ['new', 'photos/new/10.jpg', null],
      ],
      told: [],
    });
  });

  it('takes what a stage lists instead, with its caption', () => {
    const stage = '{id: new, photos: [{file: ./photos/wall.jpg, caption: The wall}]}';
    expect(found(stage, ['photos/wall.jpg', 'photos/new/other.jpg']).photos).toEqual([
      ['new', 'photos/wall.jpg', 'The wall'],
    ]);
  });

  it('leaves out what browsers do not all show, and what is listed and not there, each with its mend', () => {
    const { photos, told } = found('{id: new, photos: [{file: gone.jpg}]}', ['photos/bare/a.HEIC']);
    expect(photos).toEqual([]);
    expect(told).toEqual([
      'photos/bare/a.HEIC:null: warning: photos/bare/a.HEIC is no JPEG or PNG, so the report does not show it: export it as JPEG',
      'project.yaml:6: warning: gone.jpg is not in the project folder, so the report does not show it: put it there, or correct the name',
    ]);
  });
});
