import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";

/** A disclosure whose inside is only made once it is opened. */
export function Fold({
  summary,
  label,
  children,
  open = false,
  class: name = "",
  id,
  group,
}: {
  summary: ComponentChildren;
  /** What a screen reader hears for the summary, where its text alone says too little. */
  label?: string | undefined;
  children: ComponentChildren | (() => ComponentChildren);
  open?: boolean;
  class?: string;
  id?: string | undefined;
  /** Folds of one group close one another. */
  group?: string | undefined;
}) {
  const [opened, setOpened] = useState(open);
  return (
    <details
      class={`fold ${name}`}
      id={id}
      name={group}
      open={open}
      onToggle={(event) => setOpened(event.currentTarget.open)}
    >
      <summary aria-label={label}>{summary}</summary>
      {opened && <div class="fold-body">{typeof children === "function" ? children() : children}</div>}
    </details>
  );
}
