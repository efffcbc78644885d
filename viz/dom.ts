/** Anything that may be put inside an element; `null` and `false` are left out. */
export type Child = Node | string | number | null | false | undefined;

type Listeners = { [K in keyof HTMLElementEventMap]?: (event: HTMLElementEventMap[K]) => void };

/** Attributes by their HTML names, plus `on` for listeners. `true` sets an empty attribute, `false`, `null` and `undefined` leave it out. */
export interface Props {
  on?: Listeners;
  [attribute: string]: unknown;
}

/** Build one HTML element. Text children become text nodes, so nothing is ever parsed as HTML. */
export function el<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  props: Props = {},
  ...children: Child[]
): HTMLElementTagNameMap[K] {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (name === "on") {
      for (const [type, listener] of Object.entries(value as Listeners)) {
        node.addEventListener(type, listener as EventListener);
      }
    } else if (value !== false && value !== null && value !== undefined) {
      node.setAttribute(name, value === true ? "" : String(value));
    }
  }
  append(node, children);
  return node;
}

/** Replace what is inside `host`. */
export function fill(host: Element, ...children: Child[]): void {
  host.replaceChildren();
  append(host, children);
}

function append(host: Element, children: Child[]): void {
  for (const child of children) {
    if (child === null || child === undefined || child === false) continue;
    host.append(typeof child === "object" ? child : String(child));
  }
}

/** Write text only when it differs, so that live regions and selections are left alone. */
export function setText(node: Element, text: string): void {
  if (node.textContent !== text) node.textContent = text;
}

/** A labelled form row: the label above, the control below. */
export function field(label: string, control: HTMLElement, hint?: string): HTMLElement {
  const id = control.id || uniqueId("f");
  control.id = id;
  const hintId = hint ? `${id}-hint` : null;
  if (hintId) control.setAttribute("aria-describedby", hintId);
  return el(
    "div",
    { class: "field" },
    el("label", { for: id }, label),
    control,
    hintId && el("p", { class: "hint", id: hintId }, hint),
  );
}

let counter = 0;

/** An id no other element of this page has. */
export function uniqueId(prefix: string): string {
  counter += 1;
  return `${prefix}-${counter}`;
}

/** A select with options; the current value is set after the options exist. */
export function select<T extends string>(
  options: readonly { value: T; label: string }[],
  value: T,
  onChange: (value: T) => void,
  props: Props = {},
): HTMLSelectElement {
  const node = el("select", {
    ...props,
    on: { change: () => onChange(node.value as T) },
  });
  for (const option of options) node.append(el("option", { value: option.value }, option.label));
  node.value = value;
  return node;
}

/** A plain button. */
export function button(label: string, onClick: () => void, props: Props = {}): HTMLButtonElement {
  return el("button", { type: "button", ...props, on: { click: onClick } }, label);
}

/** A table's head: one row of column heads, each words or an element. */
export function tableHead(...heads: (string | Node)[]): HTMLElement {
  return el("thead", {}, el("tr", {}, ...heads.map((head) => el("th", { scope: "col" }, head))));
}
