/** Frames to wait for what has to be fetched first: a few seconds. */
const MOST_FRAMES = 240;

/** Do something with an element once it is there. */
function whenThere<T extends Element>(
  find: () => T | null,
  act: (element: T) => void,
  frames = MOST_FRAMES,
): void {
  const element = find();
  if (element) act(element);
  else if (frames > 0) requestAnimationFrame(() => whenThere(find, act, frames - 1));
}

/** Open a line at the field for the user's own figure (sugar, acid or abv), from anywhere on the bench. */
export function openFigure(ingredient: string, quantity: string): void {
  const row = document.querySelector<HTMLElement>(`li.line[data-ingredient="${CSS.escape(ingredient)}"]`);
  if (!row) return;
  const opener = row.querySelector<HTMLButtonElement>(".line-name");
  if (opener?.getAttribute("aria-expanded") === "false") opener.click();
  whenThere(
    () => row.querySelector<HTMLDetailsElement>(".line-details"),
    (details) => {
      details.open = true;
      whenThere(
        () => row.querySelector<HTMLInputElement>(`[data-own="${quantity}"]`),
        (input) => {
          input.scrollIntoView({ block: "center" });
          input.focus({ preventScroll: true });
        },
      );
    },
  );
}
