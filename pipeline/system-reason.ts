const REASONS: Record<string, string> = {
  EACCES: 'permission denied',
  EPERM: 'permission denied',
  ENOENT: 'it is not there',
  ENOTDIR: 'part of the path is no folder',
  EISDIR: 'it is a folder',
  EFTYPE: 'it is no file',
  EFBIG: 'it is too large',
  EIO: 'the disk reports an error',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk is full',
  EROFS: 'the disk can only be read',
  EMFILE: 'too many files are open',
  ENAMETOOLONG: 'the name is too long',
  ELOOP: 'its links lead in a circle',
  EBUSY: 'another program holds it',
};

/** Returns why the operating system refused, in words; where it is no refusal of the system's, throws it on. */
export function systemReason(fault: unknown): string {
  const code = (fault as NodeJS.ErrnoException | null)?.code;
  if (typeof code !== 'string' || !/^E[A-Z0-9]+$/.test(code)) throw fault;
  return REASONS[code] ?? code;
}
