import { writeFile } from 'node:fs/promises';
import { projectJsonSchema } from '../src/project/schema-facts.ts';
import { resource } from './resources.ts';

// A chore of the developers: writes the JSON Schema that editors complete project files from.
await writeFile(resource('project.schema.json'), `${JSON.stringify(projectJsonSchema(), null, 2)}\n`);
