import { useEffect, useRef } from "preact/hooks";
import type { Ingredient } from "../../engine/types.ts";
import { OwnForm } from "./own.tsx";

/** The form for an ingredient of one's own, over whatever asked for it; it goes back there with what was made. */
export function OwnDialog({
  name,
  action,
  onMade,
  onClose,
}: {
  name: string;
  /** What the button says. */
  action: string;
  onMade: (made: Ingredient) => void;
  onClose: () => void;
}) {
  const dialog = useRef<HTMLDialogElement>(null);
  useEffect(() => dialog.current?.showModal(), []);
  return (
    <dialog ref={dialog} class="own-dialog" aria-labelledby="own-title" onClose={onClose}>
      <h2 id="own-title">An ingredient of your own</h2>
      <OwnForm
        name={name}
        action={action}
        onMade={(made) => {
          onMade(made);
          dialog.current?.close();
        }}
      >
        <button type="button" onClick={() => dialog.current?.close()}>
          Cancel
        </button>
      </OwnForm>
    </dialog>
  );
}
