import "./pantry.css";
import { useStore } from "../house.ts";
import { EVIDENCE } from "./words.ts";

const SHORT = 60;

/** At most that many letters, cut between words. */
const shorten = (text: string) => {
  if (text.length <= SHORT) return text;
  const cut = text.slice(0, SHORT + 1);
  return `${cut.slice(0, Math.max(cut.lastIndexOf(" "), 1)).replace(/[,–-]+$/, "")} …`;
};

/** A source by a short form of its citation, the whole of which is at the foot of the page, and how good it is. */
export function SourceLink({ id, memory = false }: { id: string; memory?: boolean | undefined }) {
  const sources = useStore().data.sources.value;
  const source = sources.find((candidate) => candidate.id === id);
  // The sources come a little later; what none of them holds is the user's own.
  if (sources.length === 0) return <span class="hint">…</span>;
  if (!source) return <span>your own figure</span>;
  const title = source.citation.split(/[.;:(]/)[0]?.trim() ?? "";
  const short = shorten(title.length > 3 ? title : source.citation);
  const evidence = memory ? "memory" : source.evidence;
  return (
    <>
      <a href={`#source-${id}`}>{short}</a>{" "}
      <span class={`evidence evidence-${evidence}`}>{EVIDENCE[evidence]}</span>
    </>
  );
}
