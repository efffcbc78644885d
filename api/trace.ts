/** W3C Trace Context, level 1, section 3.2: version, trace id, parent id, flags. */
const TRACEPARENT = /^[\da-f]{2}-([\da-f]{32})-([\da-f]{16})-[\da-f]{2}(?:-.*)?$/;

/** The trace a request belongs to, for the log; null when it names none that is valid. */
export function traceOf(traceparent: string | undefined): { traceId: string; parentId: string } | null {
  const [, traceId, parentId] = TRACEPARENT.exec(traceparent ?? "") ?? [];
  if (traceId === undefined || parentId === undefined || traceparent!.startsWith("ff")) return null;
  return /^0+$/.test(traceId) || /^0+$/.test(parentId) ? null : { traceId, parentId };
}
