import "../style/sheet.css";
import "../present/present.css";
import { effect, signal } from "@preact/signals";
import { useEffect, useMemo, useState } from "preact/hooks";
import { createAsking } from "../bench/asking.ts";
import { GlassPanel } from "../bench/glass.tsx";
import { Notice } from "../bench/notice.tsx";
import { RoundsPanel } from "../bench/rounds.tsx";
import { SpecPanel } from "../bench/spec.tsx";
import { VerdictPanel } from "../bench/verdict.tsx";
import { WishCard } from "../bench/wish-card.tsx";
import { createWishing } from "../bench/wishing.ts";
import { type House, HouseProvider, useHouse } from "../house.ts";
import { MapPanel } from "../map/map-panel.tsx";
import { createSolver } from "../solver/client.ts";
import { decodeView } from "../state/link-reader.ts";
import { benchAround, openingWork } from "../state/opening.ts";
import { addressOf, route } from "../state/route.ts";
import { keepLessons, loadLessons } from "../state/storage.ts";
import { createStore, type Store } from "../state/store.ts";
import { LESSONS, type Lesson } from "./lessons.ts";

/** A lesson of someone's own: the start drink and the goal come with the link. */
const OWN = "own";

/** A bench for one lesson, apart from the user's own; nothing of it is kept. */
function lessonStore({ data, work }: Store, lesson: Lesson | null, hash: string): Store {
  if (!lesson) {
    const opened = openingWork(data, {
      decoded: decodeView(hash),
      linked: true,
      bench: null,
      benches: [],
      settings: {},
    });
    const bench = benchAround(opened.work.spec, opened.work.spec.name);
    return createStore(data, { ...opened.work, benches: [bench], bench: bench.id, round: bench.current });
  }
  const bench = benchAround(lesson.start, lesson.title);
  return createStore(data, {
    ...work.peek(),
    benches: [bench],
    bench: bench.id,
    round: bench.current,
    spec: lesson.start,
    rules: {},
    target: [{ kind: "family", family: "sour", coverage: 0.9 }],
  });
}

/** The list of lessons, or one of them. */
export function LessonsRoom() {
  const { id, hash } = route.value;
  const lesson = LESSONS.find(({ n }) => String(n) === id) ?? null;
  if (!lesson && id !== OWN) return <LessonList />;
  return <OneLesson key={`${id} ${id === OWN ? hash : ""}`} lesson={lesson} hash={hash} />;
}

function LessonList() {
  const { keeping } = useHouse();
  const done = loadLessons(keeping.shelf);
  return (
    <div class="sheet">
      <h1>Eight short lessons</h1>
      <p>
        Each asks one question. You answer it by moving something on a real bench, and the engine judges.
        Nothing here touches your own benches.
      </p>
      <ol class="lessons">
        {LESSONS.map(({ n, title, question }) => (
          <li key={n} data-done={done.includes(n)}>
            <a href={addressOf("lessons", String(n))}>
              <span class="round-number">{n}</span>
              <span>
                <strong>{title}</strong>
                <span class="hint">{question}</span>
              </span>
            </a>
            {done.includes(n) && <span class="badge">answered</span>}
          </li>
        ))}
      </ol>
      <p class="hint">
        Teaching a class? “Copy a lesson link” in a bench's menu makes one of the drink on it, with the range
        chosen there as the goal. The trails they hand in can be laid over one another in “Present”.
      </p>
    </div>
  );
}

function OneLesson({ lesson, hash }: { lesson: Lesson | null; hash: string }) {
  const house = useHouse();
  const inner = useMemo((): House => {
    const store = lessonStore(house.store, lesson, hash);
    return {
      ...house,
      store,
      asking: createAsking(store, createSolver()),
      wishing: createWishing(store, createSolver()),
    };
  }, [house, lesson, hash]);
  const answered = useMemo(() => signal(false), [inner]);
  const [before] = useState(() => inner.store.placement.peek());
  useEffect(
    () =>
      effect(() => {
        if (answered.peek() || !before) return;
        const { verdict } = inner.store;
        const done = lesson ? lesson.answered(inner.store, before) : verdict.value?.inside === true;
        if (!done) return;
        answered.value = true;
        if (!lesson) return;
        const known = loadLessons(house.keeping.shelf);
        if (!known.includes(lesson.n)) keepLessons(house.keeping.shelf, [...known, lesson.n]);
      }),
    [inner, lesson, before, answered, house],
  );
  const next = lesson && LESSONS[lesson.n];
  return (
    <HouseProvider value={inner}>
      <div class="lesson-head">
        <p>
          <a href={addressOf("lessons")}>Lessons</a>{" "}
          {lesson ? `· ${lesson.n} of ${LESSONS.length}` : "· from a link"}
        </p>
        <h1>{lesson?.question ?? "Bring this drink into the range that came with it."}</h1>
        <p class="task">{lesson?.task ?? `Into ${inner.store.target.value?.label ?? "range"}.`}</p>
      </div>
      <Notice />
      <div class="bench two lesson-bench">
        <div class="column drink">
          <VerdictPanel />
          <SpecPanel />
        </div>
        <div class="column map-column">
          <MapPanel>
            <WishCard />
          </MapPanel>
        </div>
        <div class="column ways">
          <RoundsPanel />
          <GlassPanel />
        </div>
      </div>
      <div class="lesson-told" role="status" data-answered={answered.value}>
        {answered.value && (
          <>
            <p>
              <strong>Answered.</strong>{" "}
              {lesson?.told ?? "It is in range. Look at the trail: which step did it?"}
            </p>
            {next ? (
              <a class="button" href={addressOf("lessons", String(next.n))}>
                Next: {next.title}
              </a>
            ) : (
              <a class="button" href={addressOf("lessons")}>
                All lessons
              </a>
            )}
          </>
        )}
      </div>
    </HouseProvider>
  );
}
