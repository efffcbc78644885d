import { useStore } from "../house.ts";
import { EVIDENCE } from "./words.ts";

const SHORT = 60;

/** A source by a short form of its citation, the whole of which is at the foot of the page, and how good it is. */
export function SourceLink({ id, memory = false }: { id: string; memory?: boolean | undefined }) {
  const sources = useStore().data.sources.value;
  const source = sources.find((candidate) => candidate.id === id);
  // The sources come a little later; what none of them holds is the user's own.
  if (sources.length === 0) return <span class="hint">…</span>;
  if (!source) return <span>your own figure</span>;
  const title = source.citation.split(/[.;:(]/)[0]?.trim() ?? "";
  const evidence = memory ? "memory" : source.evidence;
  return (
    <>
      <a href={`#source-${id}`}>
        {title.length > 3 ? title.slice(0, SHORT) : source.citation.slice(0, SHORT)}
      </a>{" "}
      <span class={`evidence evidence-${evidence}`}>{EVIDENCE[evidence]}</span>
    </>
  );
}
