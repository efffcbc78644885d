import type { ComponentChildren, LooseInputHTMLAttributes, LooseSelectHTMLAttributes } from "preact";
import { useId, useLayoutEffect, useRef } from "preact/hooks";

/** What stands around a control. */
interface Frame {
  label: string;
  hint?: string | undefined;
  wide?: boolean | undefined;
}

/** A labelled control: the label above, the control below, a hint under it. The control is given its ids. */
export function Field({
  label,
  hint,
  wide,
  children,
}: Frame & { children: (ids: { id: string; "aria-describedby"?: string }) => ComponentChildren }) {
  const id = useId();
  return (
    <div class={wide ? "field wide" : "field"}>
      <label for={id}>{label}</label>
      {children({ id, ...(hint && { "aria-describedby": `${id}-hint` }) })}
      {hint && (
        <p class="hint" id={`${id}-hint`}>
          {hint}
        </p>
      )}
    </div>
  );
}

type InputProps = Pick<
  LooseInputHTMLAttributes<HTMLInputElement>,
  | "id"
  | "class"
  | "role"
  | "placeholder"
  | "maxLength"
  | "inputMode"
  | "spellcheck"
  | "onFocus"
  | "onKeyDown"
  | "aria-label"
  | "aria-describedby"
  | "aria-invalid"
  | "aria-valuenow"
  | "aria-valuetext"
> & { "data-own"?: string };

/**
 * A text field that is written by the page until it is being typed in, and read when it is left or Enter is
 * pressed. Escape brings the page's value back. `onCommit` gives false to refuse: what was typed stays.
 */
export function CommitInput({
  value,
  onCommit,
  onKeyDown,
  ...rest
}: InputProps & { value: string; onCommit: (text: string) => unknown }) {
  const ref = useRef<HTMLInputElement>(null);
  const shown = useRef(value);
  useLayoutEffect(() => {
    const input = ref.current;
    if (input && (document.activeElement !== input || shown.current !== value)) input.value = value;
    shown.current = value;
  }, [value]);
  const commit = () => {
    const input = ref.current;
    if (!input || input.value === value) return;
    if (onCommit(input.value) !== false) input.value = shown.current;
  };
  return (
    <input
      type="text"
      autocomplete="off"
      {...(rest as object)}
      ref={ref}
      onChange={commit}
      onKeyDown={(event) => {
        if (event.key === "Enter") commit();
        else if (event.key === "Escape" && ref.current) ref.current.value = value;
        if (typeof onKeyDown === "function") onKeyDown.call(event.currentTarget as never, event);
      }}
    />
  );
}

type NumberProps = InputProps & {
  value: number | null;
  least?: number;
  onCommit: (x: number | null) => void;
};

/** A number that may be left empty. Refuses what is no number, or below `least`. */
export function NumberInput({ value, least = Number.NEGATIVE_INFINITY, onCommit, ...rest }: NumberProps) {
  return (
    <CommitInput
      inputMode="decimal"
      {...rest}
      value={value === null ? "" : String(value)}
      onCommit={(text) => {
        const trimmed = text.trim().replace(",", ".").replace("−", "-");
        const x = Number(trimmed);
        if (trimmed !== "" && !(Number.isFinite(x) && x >= least)) return false;
        onCommit(trimmed === "" ? null : x);
        return true;
      }}
    />
  );
}

type ChoiceProps<T extends string> = Omit<
  LooseSelectHTMLAttributes<HTMLSelectElement>,
  "value" | "onChange" | "multiple" | "size" | "role" | "label" | "wide"
> & {
  value: T;
  options: readonly { value: T; label: string }[];
  onChoose: (value: T) => void;
};

/** A select over plain options. */
export function Choice<T extends string>({ value, options, onChoose, ...rest }: ChoiceProps<T>) {
  return (
    <select {...rest} value={value} onChange={(event) => onChoose(event.currentTarget.value as T)}>
      {options.map((option) => (
        <option key={option.value} value={option.value}>
          {option.label}
        </option>
      ))}
    </select>
  );
}

/** A `NumberInput` under its label. */
export function NumberField({ label, hint, wide, ...input }: Frame & NumberProps) {
  return (
    <Field label={label} hint={hint} wide={wide}>
      {(ids) => <NumberInput {...ids} {...input} />}
    </Field>
  );
}

/** A `Choice` under its label. */
export function ChoiceField<T extends string>({ label, hint, wide, ...select }: Frame & ChoiceProps<T>) {
  return (
    <Field label={label} hint={hint} wide={wide}>
      {(ids) => <Choice {...ids} {...select} />}
    </Field>
  );
}

/** A few choices of which one holds, all in sight: one stop of the keyboard, chosen by the arrows. */
export function Segments<T extends string>({
  label,
  value,
  options,
  onChoose,
}: {
  label: string;
  value: T;
  options: readonly { value: T; label: string }[];
  onChoose: (value: T) => void;
}) {
  const name = useId();
  return (
    <fieldset class="segments">
      <legend class="visually-hidden">{label}</legend>
      {options.map((option) => (
        <label key={option.value} class="segment">
          <input
            type="radio"
            class="visually-hidden"
            name={name}
            checked={option.value === value}
            onChange={() => onChoose(option.value)}
          />
          {option.label}
        </label>
      ))}
    </fieldset>
  );
}

/** A switch with its words beside it. */
export function Switch({
  on,
  onTurn,
  children,
}: {
  on: boolean;
  onTurn: (on: boolean) => void;
  children: ComponentChildren;
}) {
  return (
    <label class="switch">
      <input type="checkbox" checked={on} onChange={(event) => onTurn(event.currentTarget.checked)} />
      <span>{children}</span>
    </label>
  );
}
