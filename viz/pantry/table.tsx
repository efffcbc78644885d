import type { ComponentChildren } from "preact";

/** A table that scrolls sideways within itself where it is wider than the screen. */
export function SheetTable({
  label,
  heads,
  children,
}: {
  label: string;
  heads: readonly string[];
  children: ComponentChildren;
}) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: what scrolls can be reached by keyboard.
    <section class="scroll" tabIndex={0} aria-label={label}>
      <table>
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
