import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { later } from "../parts/later.tsx";

const PasteForm = later(async () => (await import("./paste-form.tsx")).PasteForm);

const open = signal(false);

/** Open the box, from anywhere on the bench. */
export function openPaste(): void {
  open.value = true;
}

/** The box to paste a spec into; what it holds comes when it is opened. */
export function PasteBox() {
  const dialog = useRef<HTMLDialogElement>(null);
  const isOpen = open.value;
  const close = () => {
    open.value = false;
  };
  useEffect(() => {
    if (isOpen) dialog.current?.showModal();
    else dialog.current?.close();
  }, [isOpen]);
  return (
    <dialog ref={dialog} class="paste" id="paste" aria-label="Paste a spec" onClose={close}>
      {isOpen && <PasteForm onDone={close} />}
    </dialog>
  );
}
