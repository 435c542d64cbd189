import { readFile } from 'node:fs/promises';
import { createServer, type IncomingMessage, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';
import { extname, join, normalize, sep } from 'node:path';

/** A report shown in a browser of this machine. */
export interface ReportServer {
  address: string;
  /** Tells open pages that there is a new report. */
  changed: () => void;
  close: () => Promise<void>;
}

/** Only this machine reaches it. */
const LOOPBACK = '127.0.0.1';

const KINDS: Record<string, string> = {
  '.html': 'text/html; charset=utf-8',
  '.pdf': 'application/pdf',
  '.json': 'application/json',
  '.csv': 'text/csv; charset=utf-8',
  '.svg': 'image/svg+xml',
  '.wav': 'audio/wav',
};

/** The report stands in a frame, since its own page allows no script from elsewhere; the frame's page reloads it in its place. */
const FRAME = `<!doctype html><html lang="en"><meta charset="utf-8"><title>Report</title>
<style>html,body,iframe{margin:0;border:0;width:100%;height:100%;display:block}</style>
<iframe src="/report.html" title="Report"></iframe>
<script>new EventSource('/changes').onmessage=()=>document.querySelector('iframe').contentWindow.location.reload()</script>
`;

/** Serves the report folder of a project, to this machine alone. Port 0: any that is free. */
export async function serveReport(folder: string, port: number): Promise<ReportServer> {
  const pages = new Set<ServerResponse>();
  const server = createServer((request, response) => {
    void answer(request, response, { report: join(folder, 'report'), pages });
  });
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject);
    server.listen(port, LOOPBACK, resolve);
  });
  const own = `${LOOPBACK}:${(server.address() as AddressInfo).port}`;
  return {
    address: `http://${own}/`,
    changed: () => {
      for (const page of pages) page.write('data: changed\n\n');
    },
    close: async () => {
      for (const page of pages) page.end();
      server.closeAllConnections();
      await new Promise<void>((resolve) => server.close(() => resolve()));
    },
  };
}

async function answer(
  request: IncomingMessage,
  response: ServerResponse,
  { report, pages }: { report: string; pages: Set<ServerResponse> },
): Promise<void> {
  const refuse = (status: number) => void response.writeHead(status).end();
  // A page from elsewhere that has its name point here would come with that name.
  if (!/^(127\.0\.0\.1|localhost)(:\d+)?$/.test(request.headers.host ?? '')) return refuse(403);
  if (request.method !== 'GET' && request.method !== 'HEAD') return refuse(405);
  const path = pathOf(request.url ?? '/');
  if (path === null) return refuse(400);
  if (path === '/') return void response.writeHead(200, { 'content-type': KINDS['.html'] }).end(FRAME);
  if (path === '/changes') {
    response.writeHead(200, { 'content-type': 'text/event-stream', 'cache-control': 'no-store' });
    response.write(': watching\n\n');
    pages.add(response);
    response.on('close', () => pages.delete(response));
    return;
  }
  const file = normalize(join(report, path));
  const kind = KINDS[extname(file)];
  if (!file.startsWith(report + sep) || kind === undefined) return refuse(404);
  try {
    const content = await readFile(file);
    response.writeHead(200, {
      'content-type': kind,
      'cache-control': 'no-store',
      'x-content-type-options': 'nosniff',
    });
    response.end(request.method === 'HEAD' ? undefined : content);
  } catch {
    refuse(404);
  }
}

function pathOf(url: string): string | null {
  try {
    return decodeURIComponent(new URL(url, 'http://localhost').pathname);
  } catch {
    return null;
  }
}
