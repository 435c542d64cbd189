/**
 * Stands in the built files for the package `proxy-agent`, which only the downloads of puppeteer's installer would use. Nothing is
 * downloaded here, and two megabytes of code were loaded for it before each print.
 */
export class ProxyAgent {
  constructor() {
    throw new Error('nothing is downloaded');
  }
}
