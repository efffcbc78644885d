import { LONGEST } from "../../engine/limits.ts";
import { Field } from "../parts/field.tsx";

/** A taster's name; Enter does what the button beside it does. */
export function NameField({
  label,
  name,
  onName,
  onEnter,
}: {
  label: string;
  name: string;
  onName: (name: string) => void;
  onEnter: () => void;
}) {
  return (
    <Field label={label}>
      {(ids) => (
        <input
          {...ids}
          type="text"
          maxLength={LONGEST.name}
          value={name}
          onInput={(event) => onName(event.currentTarget.value)}
          onKeyDown={(event) => event.key === "Enter" && onEnter()}
        />
      )}
    </Field>
  );
}
