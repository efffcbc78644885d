import "./taste.css";
import { useSignal } from "@preact/signals";
import { render } from "preact";
import { useEffect } from "preact/hooks";
import type { z } from "zod";
import type { FormSchema, TableSchema } from "../../api/schemas/kept.ts";
import { isObject } from "../../engine/shapes/check.ts";
import { openShelf } from "../state/storage.ts";
import { Care } from "./care.tsx";
import type { Said } from "./form.tsx";
import { Sitting } from "./sitting.tsx";
import { BEFORE_TASTING, NOT_SENT } from "./words.ts";

/*
 * A taster's page. It knows only what the link's bearer may: codes, and this taster's own forms. Nothing of
 * the house is loaded, so that it is there at once on a phone.
 */

type Table = z.infer<typeof TableSchema>;
type Flight = Table["flights"][number];
type Form = z.infer<typeof FormSchema>;

/** What was marked and is not with the server: by flight and code. */
type Waiting = Record<string, { said: Said; handedIn: boolean }>;

const FORMS_KEY = "steelyard.forms.v1";
const ASK_EVERY_MS = 8000;

const keyOf = (flight: string, code: string) => `${flight} ${code}`;

function saidIn({ code: _, ...said }: Form): Said {
  return said;
}

/** Ask the server as this taster; null where it does not answer. */
async function ask(secret: string, body?: object): Promise<{ status: number; body: unknown } | null> {
  try {
    const response = await fetch("/v1/taste", {
      headers: { Authorization: `Bearer ${secret}`, ...(body && { "Content-Type": "application/json" }) },
      ...(body && { method: "POST", body: JSON.stringify(body) }),
    });
    return { status: response.status, body: await response.json() };
  } catch {
    return null;
  }
}

/** What is kept on this device for this seat; another taster's device, or link, has its own. */
function keptForms(secret: string) {
  const { shelf } = openShelf();
  // Two links on one device must not mix; the secret itself is not written down a second time.
  const key = `${FORMS_KEY}.${secret.slice(0, 8)}`;
  return {
    read(): Waiting {
      try {
        const kept: unknown = JSON.parse(shelf.getItem(key) ?? "{}");
        return isObject(kept) ? (kept as Waiting) : {};
      } catch {
        return {};
      }
    },
    write(waiting: Waiting) {
      try {
        shelf.setItem(key, JSON.stringify(waiting));
      } catch {
        // Then it lasts as long as the page.
      }
    },
  };
}

function Seat({ secret }: { secret: string }) {
  const table = useSignal<Table | null>(null);
  const kept = keptForms(secret);
  const waiting = useSignal<Waiting>(kept.read());
  const trouble = useSignal<keyof typeof NOT_SENT | null>(null);
  const keep = (next: Waiting) => {
    waiting.value = next;
    kept.write(next);
  };

  const refresh = async () => {
    const answer = await ask(secret);
    if (answer?.status === 200) table.value = answer.body as Table;
    trouble.value = answer === null ? "offline" : answer.status === 401 ? "revoked" : null;
    return answer?.status === 200;
  };
  const send = async (flight: string, code: string, said: Said) => {
    const answer = await ask(secret, { flight, code, ...said });
    if (answer === null || answer.status >= 500) trouble.value = "offline";
    else if (answer.status === 401) trouble.value = "revoked";
    else {
      const { [keyOf(flight, code)]: _, ...rest } = waiting.value;
      keep(rest);
      await refresh();
      if (answer.status !== 200) trouble.value = "closed";
    }
  };
  useEffect(() => {
    document.title = "Tasting – Steelyard";
    const round = async () => {
      if (document.visibilityState !== "visible" || !(await refresh())) return;
      for (const flight of table.value?.flights ?? []) {
        for (const code of flight.codes) {
          const form = waiting.value[keyOf(flight.id, code)];
          if (form?.handedIn) await send(flight.id, code, form.said);
        }
      }
    };
    round();
    const timer = setInterval(round, ASK_EVERY_MS);
    return () => clearInterval(timer);
  }, []);

  const formsOf = (flight: Flight) =>
    new Map(
      flight.codes.flatMap((code) => {
        const form = flight.forms.find((candidate) => candidate.code === code);
        const own = waiting.value[keyOf(flight.id, code)];
        const shown = own ?? (form && { said: saidIn(form), handedIn: true });
        return shown ? [[code, shown] as const] : [];
      }),
    );
  const put = (flight: string, code: string, said: Said, handedIn: boolean) =>
    keep({ ...waiting.value, [keyOf(flight, code)]: { said, handedIn } });
  const shown = table.value?.flights.find(({ open }) => open) ?? table.value?.flights[0];
  return (
    <main class="seat" id="seat">
      <p class="seat-head">
        <b>{table.value?.taster ?? "Tasting"}</b>
        {shown && <span>{shown.label}</span>}
      </p>
      {trouble.value && (
        <p class="seat-trouble" role="alert">
          {NOT_SENT[trouble.value]}
        </p>
      )}
      {shown ? <Care care={shown.care} /> : <p class="hint">{BEFORE_TASTING}</p>}
      {shown ? (
        <Sitting
          key={shown.id}
          codes={shown.codes}
          forms={formsOf(shown)}
          open={shown.open}
          onSay={(code, said) => put(shown.id, code, said, false)}
          onHandIn={(code, said) => {
            put(shown.id, code, said, true);
            send(shown.id, code, said);
          }}
        />
      ) : (
        table.value && <p role="status">No glasses yet. This page shows them as soon as they are poured.</p>
      )}
    </main>
  );
}

/** Show the page of the taster whose link this is. */
export function openSeat(secret: string, root: HTMLElement): void {
  root.replaceChildren();
  render(<Seat secret={secret} />, root);
}
