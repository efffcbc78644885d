import "../parts/stacked.css";
import type { ComponentChildren } from "preact";

/**
 * A table that scrolls sideways within itself where it is wider than the screen. One that is `stacked` has cells
 * that speak for themselves: on a phone each row is a block of them instead.
 */
export function SheetTable({
  label,
  heads,
  stacked = false,
  children,
}: {
  label: string;
  heads: readonly string[];
  stacked?: boolean;
  children: ComponentChildren;
}) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label={label}>
      <table class={stacked ? "stacked" : undefined}>
        <thead>
          <tr>
            {heads.map((head) => (
              <th scope="col" key={head}>
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>{children}</tbody>
      </table>
    </section>
  );
}
