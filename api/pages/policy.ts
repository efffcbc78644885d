import { COMMON_HEADERS } from "../send.ts";

/** Nothing is loaded from elsewhere; no inline script; style attributes only (D3 and the reference set them). */
const POLICY: Readonly<Record<string, string>> = {
  "default-src": "'self'",
  "script-src": "'self'",
  "style-src": "'self'",
  "style-src-attr": "'unsafe-inline'",
  "img-src": "'self' data: blob:",
  "connect-src": "'self'",
  "worker-src": "'self'",
  "object-src": "'none'",
  "base-uri": "'none'",
  "form-action": "'self'",
  "frame-ancestors": "'none'",
};

/** Headers of what a browser shows as a page, or loads for one. */
export function pageHeaders(
  contentType: string,
  policy: Record<string, string> = {},
): Record<string, string> {
  const directives = Object.entries({ ...POLICY, ...policy }).map((directive) => directive.join(" "));
  return {
    ...COMMON_HEADERS,
    "Content-Type": contentType,
    "Content-Security-Policy": directives.join("; "),
    "X-Frame-Options": "DENY",
    // Lets the page and its solver share memory, through which a long search is told to stop and give what it
    // has. Nothing is loaded from elsewhere, so nothing is lost by it.
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Embedder-Policy": "require-corp",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
  };
}

export const HTML = "text/html; charset=utf-8";
