/**
 * Every kind of problem this API answers with. The slug is the identifier (`type` is
 * `/problems/{slug}`, a page that is served): slugs are only ever added, never renamed.
 */
export const PROBLEMS = {
  "malformed-json": {
    status: 400,
    title: "The body is not JSON",
    meaning: "The request body could not be read as JSON.",
    remedy: "Check quotes, commas and brackets; send UTF-8.",
  },
  "bad-request": {
    status: 400,
    title: "The request is not well formed",
    meaning: "The request could not be understood at the level of HTTP.",
    remedy: "Check the request line, headers and encoding.",
  },
  "link-needed": {
    status: 401,
    title: "A link is needed here",
    meaning: "Benches are shown only to who holds a link to them, and this request brought none that works.",
    remedy: "Send Authorization: Bearer with the secret of a link; ask the bench's owner for a new one.",
  },
  "not-allowed": {
    status: 403,
    title: "This link does not reach so far",
    meaning: "The link is good, but its role may not do this.",
    remedy: "Ask the bench's owner to do it, or for a link with another role.",
  },
  "not-found": {
    status: 404,
    title: "Nothing is here",
    meaning: "No route or item has this path.",
    remedy: "See /docs for the routes and GET /v1/pantry for the ingredients.",
  },
  "method-not-allowed": {
    status: 405,
    title: "This path does not take that method",
    meaning: "The path exists, for other methods; the Allow header lists them.",
    remedy: "Use one of the methods in the Allow header.",
  },
  "request-timeout": {
    status: 408,
    title: "The request took too long to arrive",
    meaning: "The whole request was not received in the time allowed.",
    remedy: "Send the body in one go, or try a faster connection.",
  },
  "too-large": {
    status: 413,
    title: "The body is too large",
    meaning: "The request body is over the limit.",
    remedy: "Send one drink a request, and only the ingredients it uses.",
  },
  "unsupported-media-type": {
    status: 415,
    title: "The body is not plain JSON",
    meaning:
      "Bodies are read only as Content-Type: application/json, in UTF-8 and without a Content-Encoding.",
    remedy: "Set the header Content-Type: application/json, and send the body uncompressed.",
  },
  "written-since": {
    status: 409,
    title: "It was written again since",
    meaning: "A later change set the same field, so that taking this one back would undo both.",
    remedy: "Take the later change back first; the history lists it.",
  },
  "flight-closed": {
    status: 409,
    title: "The flight is closed",
    meaning: "No more forms are taken for these glasses.",
    remedy: "Ask the bench's owner to open it again.",
  },
  "precondition-failed": {
    status: 412,
    title: "It has changed since you read it",
    meaning: "The version named in If-Match is not the present one, so nothing was written.",
    remedy: "Read it again, and send your change against what it is now.",
  },
  "invalid-request": {
    status: 422,
    title: "Some fields are wrong",
    meaning: "The JSON was read, but fields in it are missing, unknown or out of range. One entry per field.",
    remedy: "Follow the remedy of each entry; the pointer says which field.",
  },
  "unread-lines": {
    status: 422,
    title: "Some lines of the text were not understood",
    meaning:
      "A line could not be read, or could mean more than one ingredient. Nothing is guessed. One entry per line.",
    remedy: "Rewrite those lines, or send the spec by lines with pantry ids.",
  },
  "precondition-required": {
    status: 428,
    title: "Say which version you are changing",
    meaning: "Writing over something needs If-Match, or two people would undo each other's work unseen.",
    remedy: "Send If-Match with the ETag you read, or If-None-Match: * to make a new one.",
  },
  "headers-too-large": {
    status: 431,
    title: "The headers are too large",
    meaning: "The request line and headers together are over the limit.",
    remedy: "Send fewer or shorter headers, and put data in the body.",
  },
  busy: {
    status: 503,
    title: "Too many solves at once",
    meaning: "Every solver is working and the queue is full.",
    remedy: "Wait for the seconds in Retry-After and send the request again.",
  },
  overrun: {
    status: 503,
    title: "The solve was stopped",
    meaning: "The solver ran past its time or memory and did not stop by itself, so it was stopped.",
    remedy: "Send fewer additions, lock some ingredients or set maxTouched, and try again.",
  },
  "store-unavailable": {
    status: 503,
    title: "Nothing can be kept just now",
    meaning:
      "The place where benches are kept cannot be used; the detail says why. Placing and solving go on.",
    remedy: "Follow the detail, and send the request again; nothing that was acknowledged is lost.",
  },
  stopping: {
    status: 503,
    title: "This server is stopping",
    meaning: "It finishes what it has in hand and wants nothing new.",
    remedy: "Send requests to another server, or here again once it has started.",
  },
  internal: {
    status: 500,
    title: "Something went wrong here",
    meaning: "A fault of the server, not of the request.",
    remedy: "Report the requestId.",
  },
} as const satisfies Record<
  string,
  {
    status: 400 | 401 | 403 | 404 | 405 | 408 | 409 | 412 | 413 | 415 | 422 | 428 | 431 | 500 | 503;
    title: string;
    meaning: string;
    remedy: string;
  }
>;

export type ProblemSlug = keyof typeof PROBLEMS;

export const PROBLEM_MEDIA_TYPE = "application/problem+json";
