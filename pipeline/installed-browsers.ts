import path from 'node:path';

/** First those without windows, which start in half the time. */
const COMMANDS = [
  'chrome-headless-shell',
  'chromium-headless-shell',
  'google-chrome-stable',
  'google-chrome',
  'chromium',
  'chromium-browser',
  'chrome',
];

const MAC_APPS = [
  '/Applications/Google Chrome.app/Contents/MacOS/Google Chrome',
  '/Applications/Chromium.app/Contents/MacOS/Chromium',
  '/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge',
];

const LINUX_FILES = ['/opt/google/chrome/chrome', '/usr/lib/chromium/chromium', '/snap/bin/chromium'];

const WINDOWS_TAILS = [
  ['Google', 'Chrome', 'Application', 'chrome.exe'],
  ['Chromium', 'Application', 'chrome.exe'],
  ['Microsoft', 'Edge', 'Application', 'msedge.exe'],
];

/**
 * The files in which a Chrome, Chromium or (outside Linux) Edge usually lies on a platform, most likely first.
 * Nothing is looked up: whether a file exists is for the caller to find out.
 */
export function installedBrowserCandidates(options: {
  platform: NodeJS.Platform;
  env: Record<string, string | undefined>;
}): string[] {
  const { platform, env } = options;
  if (platform === 'win32') {
    const roots = [env.PROGRAMFILES, env['PROGRAMFILES(X86)'], env.LOCALAPPDATA].filter((root) => root !== undefined);
    return WINDOWS_TAILS.flatMap((tail) => roots.map((root) => path.win32.join(root, ...tail)));
  }
  const folders = (env.PATH ?? '').split(':').filter((folder) => folder !== '');
  const onPath = COMMANDS.flatMap((command) => folders.map((folder) => path.posix.join(folder, command)));
  if (platform === 'darwin') {
    const own = env.HOME ? MAC_APPS.map((file) => path.posix.join(env.HOME as string, file)) : [];
    return [...MAC_APPS, ...own, ...onPath];
  }
  return [...onPath, ...LINUX_FILES];
}
