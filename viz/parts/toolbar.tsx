import type { ComponentChildren } from "preact";
import { useLayoutEffect, useRef } from "preact/hooks";

/** Buttons that are one stop of the keyboard: the arrows, Home and End go from one to the next. */
export function Toolbar({
  label,
  class: name,
  children,
}: {
  label: string;
  class: string;
  children: ComponentChildren;
}) {
  const bar = useRef<HTMLDivElement>(null);
  const tools = () => [
    ...(bar.current?.querySelectorAll<HTMLElement>("button:not(:disabled, .menu-body *)") ?? []),
  ];
  const stopAt = (at: EventTarget | null | undefined) => {
    const all = tools();
    const stop = all.find((tool) => tool === at) ?? all[0];
    for (const tool of all) tool.tabIndex = tool === stop ? 0 : -1;
  };
  // After every drawing, as the button that was the stop may be out of use by now.
  useLayoutEffect(() => stopAt(tools().find((tool) => tool.getAttribute("tabindex") === "0")));
  return (
    <div
      ref={bar}
      class={name}
      role="toolbar"
      aria-label={label}
      onFocusIn={({ target }) => tools().some((tool) => tool === target) && stopAt(target)}
      onKeyDown={(event) => {
        const all = tools();
        const at = all.indexOf(event.target as HTMLElement);
        const to = { ArrowLeft: at - 1, ArrowRight: at + 1, Home: 0, End: -1 }[event.key];
        if (at < 0 || to === undefined) return;
        event.preventDefault();
        all.at(to % all.length)?.focus();
      }}
    >
      {children}
    </div>
  );
}
