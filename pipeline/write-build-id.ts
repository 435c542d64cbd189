import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { BUILD_ID_FILE, fingerprintBuild } from './code-id.ts';
import { packageFolder, resource } from './resources.ts';

// The last step of the build: notes what the build is made of, so that kept results of other code are not taken for its own.
const dist = join(packageFolder(), 'dist');
writeFileSync(join(dist, BUILD_ID_FILE), `${JSON.stringify(fingerprintBuild(dist, resource()), null, 2)}\n`);
