import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";

/** A button with a panel under it, which closes by Escape, by a choice inside it and when attention goes elsewhere. */
export function Menu({
  label,
  children,
  button,
  class: name = "",
}: {
  label: string;
  button: ComponentChildren;
  children: (close: () => void) => ComponentChildren;
  class?: string;
}) {
  const [open, setOpen] = useState(false);
  const root = useRef<HTMLDivElement>(null);
  const opener = useRef<HTMLButtonElement>(null);
  const close = () => setOpen(false);
  useEffect(() => {
    if (!open) return;
    const away = (event: Event) => {
      if (!root.current?.contains(event.target as Node)) setOpen(false);
    };
    document.addEventListener("pointerdown", away);
    document.addEventListener("focusin", away);
    return () => {
      document.removeEventListener("pointerdown", away);
      document.removeEventListener("focusin", away);
    };
  }, [open]);
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: only listens for Escape from the controls inside.
    <div
      class={`menu ${name}`}
      ref={root}
      onKeyDown={(event) => {
        if (event.key !== "Escape" || !open) return;
        close();
        opener.current?.focus();
      }}
    >
      <button
        type="button"
        ref={opener}
        class="menu-button"
        aria-expanded={open}
        aria-label={label}
        onClick={() => setOpen(!open)}
      >
        {button}
      </button>
      {open && <div class="menu-body">{children(close)}</div>}
    </div>
  );
}
