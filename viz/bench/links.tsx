import { useEffect, useState } from "preact/hooks";
import { LONGEST } from "../../engine/limits.ts";
import type { Bench } from "../../engine/types.ts";
import { useHouse } from "../house.ts";
import { ChoiceField, Field } from "../parts/field.tsx";
import { keyAddress } from "../state/kept-keys.ts";
import type { Key } from "../state/keys.ts";
import { type Link, linksTo } from "../state/links.ts";
import { syncingOf } from "../state/syncing.ts";

const ROLES = [
  { value: "viewer", label: "See it" },
  { value: "owner", label: "See and change it" },
] as const;
const MAY: Readonly<Record<Link["role"], string>> = {
  viewer: "sees it",
  owner: "changes it",
  taster: "tastes blind",
};

/** The links to a bench that others have, and how to make and revoke one. */
function useLinks(bench: string) {
  const house = useHouse();
  const syncing = syncingOf(house);
  const to = linksTo(bench, syncing);
  const [links, setLinks] = useState<Link[] | "asking" | "none">("asking");
  const read = async () => {
    const open = await to.read();
    setLinks(open?.filter(({ role }) => role !== "taster") ?? "none");
  };
  useEffect(() => {
    read();
  }, [bench]);
  return {
    links,
    async make(role: Key["role"], label: string): Promise<string | null> {
      // The bench has to be on the server before a link can open it.
      await syncing.bring();
      const made = await to.make(role, label);
      await read();
      return made?.secret ?? null;
    },
    async revoke(id: string) {
      await to.revoke(id);
      await read();
    },
  };
}

/** Links by which others see this bench on the server, or work on it. */
export function Links({ bench }: { bench: Bench }) {
  const { links, make, revoke } = useLinks(bench.id);
  const [role, setRole] = useState<Key["role"]>("viewer");
  const [label, setLabel] = useState("");
  const [told, setTold] = useState<{ address: string } | { problem: string } | null>(null);
  if (links === "asking") return <p class="hint">Asking the server…</p>;
  if (links === "none") {
    return <p class="hint">No server answers, or it gives no leave: there are no links to this bench.</p>;
  }
  const add = async () => {
    const secret = await make(role, label.trim());
    setTold(
      secret
        ? { address: keyAddress(location.origin, secret) }
        : { problem: "The server gave no link. Try again in a moment." },
    );
  };
  return (
    <div class="links">
      <ChoiceField label="Whoever has it may" value={role} options={ROLES} onChoose={setRole} />
      <Field label="For whom">
        {(ids) => (
          <input
            {...ids}
            type="text"
            maxLength={LONGEST.name}
            value={label}
            onInput={(event) => setLabel(event.currentTarget.value)}
          />
        )}
      </Field>
      <button type="button" id="make-link" onClick={add}>
        Make a link
      </button>
      {told && "problem" in told && (
        <p class="line-error" role="alert">
          {told.problem}
        </p>
      )}
      {told && "address" in told && (
        <Field label="The link, shown this once" hint="Whoever has it is let in. Revoke it to shut it.">
          {(ids) => (
            <input
              {...ids}
              type="text"
              readOnly
              value={told.address}
              onFocus={(event) => event.currentTarget.select()}
            />
          )}
        </Field>
      )}
      {links.length > 0 && (
        <ul>
          {links.map((link) => {
            const name = link.label === "" ? "no name" : link.label;
            return (
              <li key={link.id} class="keep-row">
                <strong>{name}</strong>
                <span class="hint">{MAY[link.role]}</span>
                <button
                  type="button"
                  class="quiet"
                  aria-label={`Revoke the link of ${name}`}
                  onClick={() => revoke(link.id)}
                >
                  Revoke
                </button>
              </li>
            );
          })}
        </ul>
      )}
    </div>
  );
}
