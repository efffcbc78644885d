import { signal } from "@preact/signals";

/** Where the user is: a room, and what it shows. */
export interface Route {
  room: string;
  /** The part of the address after the room: a bench, a lesson's number, an ingredient. */
  id: string | null;
  /** `#v=1&…`, or a place on the page. */
  hash: string;
}

/** Rooms of one bench: the part of the address after them names it. */
export const ROOMS_OF_A_BENCH: ReadonlySet<string> = new Set(["bench", "present", "taste", "card"]);

/** An address as a route; `/` is the bench room with whatever was in work last. */
export function readAddress({ pathname, hash }: { pathname: string; hash: string }): Route {
  const [room = "", id] = pathname.split("/").filter(Boolean).map(decodeURIComponent);
  return { room: room === "" ? "bench" : room, id: id ?? null, hash };
}

/** The address of a room. */
export function addressOf(room: string, id?: string | null, hash = ""): string {
  return `/${room}${id ? `/${encodeURIComponent(id)}` : ""}${hash}`;
}

/** The present route. Follows the address; `go` moves both. */
export const route = signal<Route>(
  typeof location === "undefined" ? { room: "bench", id: null, hash: "" } : readAddress(location),
);

/** The route whose bench or view is still being read: until it has come, the address is not the work's to write. */
export const awaited: { route: Route | null } = { route: null };

/** Go to an address of this page. `replace` leaves no step to come back to. */
export function go(address: string, { replace = false } = {}): void {
  if (replace) history.replaceState(null, "", address);
  else history.pushState(null, "", address);
  route.value = readAddress(location);
  if (!replace) scrollTo(0, 0);
}

/** Note the view in the address without leaving a step behind. */
export function noteHash(hash: string): void {
  if (location.hash === hash) return;
  history.replaceState(history.state, "", location.pathname + location.search + hash);
}

/** Follow the browser's own moves, and plain clicks on this page's links. */
export function followLinks(): void {
  window.addEventListener("popstate", () => {
    route.value = readAddress(location);
  });
  document.addEventListener("click", (event) => {
    if (event.defaultPrevented || event.button !== 0) return;
    if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
    const link = event.target instanceof Element ? event.target.closest<HTMLAnchorElement>("a[href]") : null;
    if (!link || link.target || link.hasAttribute("download") || link.origin !== location.origin) return;
    if (link.dataset.elsewhere !== undefined) return;
    event.preventDefault();
    const place = link.hash.length > 1 && !link.hash.startsWith("#v=") ? link.hash.slice(1) : null;
    if (link.pathname !== location.pathname || !place) go(link.pathname + link.hash);
    if (place) queueMicrotask(() => goToPlace(place));
  });
}

/** Bring a place of the page into sight and the focus to it. */
export function goToPlace(id: string): void {
  const place = document.getElementById(id);
  place?.scrollIntoView();
  place?.focus({ preventScroll: true });
}
