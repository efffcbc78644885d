import type { TaskInput, TaskName, TaskResult } from "../../engine/tasks.ts";
import { ProblemError } from "../problems/problem.ts";
import { PROBLEMS } from "../problems/registry.ts";
import { type Asker, AskerLeft, type Compute } from "./compute.ts";
import { budgetOf, Estimate } from "./estimate.ts";
import { SolverThread } from "./thread.ts";

export interface PoolSettings {
  /** File the threads start from. */
  entry: URL;
  /** Threads for short work, and for long. */
  threads: { short: number; long: number };
  /** Longest time a task may be expected to wait; past it the answer is that the server is busy. */
  maxWaitMs: number;
  /** Memory a thread may use; default 512: a solve of the largest size let in was measured at 60. */
  maxHeapMb?: number;
  /** What crosses to a thread for a task. */
  pack(input: TaskInput<TaskName>): unknown;
}

/** Work up to this long is short: nobody minds waiting behind it. */
const SHORT_MS = 250;
/** Past its budget a task is told that time is up; past this too, its thread is ended. */
const GRACE_MS = 3000;
/** So many times the longest expected wait is the longest that anyone waits. */
const PATIENCE = 2;

const LANES = ["short", "long"] as const;
type Lane = (typeof LANES)[number];

interface Job {
  name: TaskName;
  input: TaskInput<TaskName>;
  lane: Lane;
  askers: Set<Asker>;
  /** Those who left did so before it was done. */
  isAbandoned: boolean;
  queuedAt: number;
  startedAt: number;
  settle(result: { value: unknown } | { error: unknown }): void;
}

/** A thread and what it is at. */
interface Post {
  thread: SolverThread;
  lane: Lane;
  job: Job | null;
}

/**
 * Solves on threads of their own, in two lanes, so that neither a request without a solve nor a short solve
 * stands behind a long one. How long a task takes is learned by its kind; one that turns out long is moved over,
 * or told to stop and begun again in the long lane when that is full. A task nobody waits for any more is
 * dropped. Equal questions at one time are worked on once. Threads start when first needed.
 */
export class Pool implements Compute {
  private readonly estimate = new Estimate();
  private readonly queues: Record<Lane, Job[]> = { short: [], long: [] };
  private readonly posts: Post[] = [];
  /** The moment up to which room was promised to those told to come back. */
  private readonly promised: Record<Lane, number> = { short: 0, long: 0 };
  private readonly flights = new Map<string, { job: Job; answer: Promise<unknown> }>();

  constructor(private readonly settings: PoolSettings) {}

  private inLane(lane: Lane): Post[] {
    return this.posts.filter((post) => post.lane === lane);
  }

  private expected(job: Job): number {
    return this.estimate.of(job.name, job.input);
  }

  /** How long a task that comes now would wait for a thread of its lane, ms. */
  private waitMs(lane: Lane): number {
    const busy = this.inLane(lane).flatMap(({ job }) => job ?? []);
    if (busy.length < this.settings.threads[lane] && this.queues[lane].length === 0) return 0;
    const now = performance.now();
    // A task past its estimate is as far from its end as its estimate was from its start, for all we know.
    const left = busy.reduce((sum, job) => {
      const [ms, past] = [this.expected(job), now - job.startedAt];
      return sum + (past < ms ? ms - past : Math.min(past, Math.max(budgetOf(job.input) - past, 0)));
    }, 0);
    const ahead = this.queues[lane].reduce((sum, job) => sum + this.expected(job), 0);
    return (left + ahead) / this.settings.threads[lane];
  }

  private dispatch(): void {
    for (const lane of LANES) {
      while (this.queues[lane].length > 0) {
        const post = this.idlePost(lane);
        if (!post) break;
        void this.start(post, this.queues[lane].shift()!);
      }
    }
  }

  /** A thread free for a lane. Idle threads of the long lane help with short work. */
  private idlePost(lane: Lane): Post | undefined {
    const idle = this.inLane(lane).find(({ job }) => job === null);
    if (idle) return idle;
    if (this.inLane(lane).length < this.settings.threads[lane]) return this.newPost(lane);
    const canHelp = lane === "short" && this.queues.long.length === 0;
    return canHelp ? this.inLane("long").find(({ job }) => job === null) : undefined;
  }

  private newPost(lane: Lane): Post {
    const { entry, maxHeapMb = 512 } = this.settings;
    const post: Post = {
      lane,
      job: null,
      thread: new SolverThread({ entry, maxHeapMb }, () => {
        this.posts.splice(this.posts.indexOf(post), 1);
        this.dispatch();
      }),
    };
    this.posts.push(post);
    return post;
  }

  private async start(post: Post, job: Job): Promise<void> {
    post.job = job;
    job.startedAt = performance.now();
    const late = setTimeout(() => this.tooLongForShort(post, job), 2 * SHORT_MS);
    const up = setTimeout(() => post.thread.hurry(), budgetOf(job.input));
    const dead = setTimeout(() => void post.thread.end(), budgetOf(job.input) + GRACE_MS);
    let isMoved = false;
    try {
      const ask = { name: job.name, message: this.settings.pack(job.input), isLong: job.lane === "long" };
      const { value, ms } = await post.thread.ask(ask);
      isMoved = job.lane === "long" && post.lane === "short";
      if (!isMoved) {
        if (!job.isAbandoned) this.estimate.learn(job.name, job.input, ms);
        for (const asker of job.askers) asker.workedMs = ms;
        job.settle({ value });
      }
    } catch (error) {
      job.settle({ error });
    } finally {
      for (const timer of [late, up, dead]) clearTimeout(timer);
      post.job = null;
      if (isMoved && !job.isAbandoned) this.queues.long.push(job);
      this.dispatch();
    }
  }

  /** A task in the short lane that is not short: the thread goes over with it, or it begins again over there. */
  private tooLongForShort(post: Post, job: Job): void {
    if (post.lane !== "short" || budgetOf(job.input) <= 2 * SHORT_MS) return;
    this.estimate.learn(job.name, job.input, Math.max(this.expected(job), 4 * SHORT_MS));
    job.lane = "long";
    const other = this.inLane("long").find((p) => p.job === null);
    if (this.inLane("long").length < this.settings.threads.long || other) {
      post.lane = "long";
      if (other && this.inLane("long").length > this.settings.threads.long) other.lane = "short";
      this.dispatch();
    } else {
      post.thread.hurry();
    }
  }

  private leave(job: Job, asker: Asker): void {
    job.askers.delete(asker);
    if (job.askers.size > 0 || job.isAbandoned) return;
    job.isAbandoned = true;
    const queue = this.queues[job.lane];
    const at = queue.indexOf(job);
    if (at >= 0) queue.splice(at, 1);
    this.posts.find((post) => post.job === job)?.thread.hurry();
    job.settle({ error: new AskerLeft() });
  }

  private enqueue(name: TaskName, input: TaskInput<TaskName>): { job: Job; answer: Promise<unknown> } {
    const lane: Lane = this.estimate.of(name, input) <= SHORT_MS ? "short" : "long";
    if (this.waitMs(lane) > this.settings.maxWaitMs) throw this.busy(lane, this.estimate.of(name, input));
    const { promise, resolve, reject } = withResolvers<unknown>();
    const job: Job = {
      name,
      input,
      lane,
      askers: new Set(),
      isAbandoned: false,
      queuedAt: performance.now(),
      startedAt: 0,
      settle: (result) => ("value" in result ? resolve(result.value) : reject(result.error)),
    };
    this.queues[lane].push(job);
    const given = setTimeout(() => this.giveUp(job), PATIENCE * this.settings.maxWaitMs);
    void promise.catch(() => {}).finally(() => clearTimeout(given));
    return { job, answer: promise };
  }

  /** It waits far longer than was expected when it was let in. */
  private giveUp(job: Job): void {
    const queue = this.queues[job.lane];
    const at = queue.indexOf(job);
    if (at < 0) return;
    queue.splice(at, 1);
    job.settle({ error: this.busy(job.lane, this.expected(job)) });
  }

  /**
   * Told to come back when there will be room; each of those told is given a place of their own, as far as the
   * queue is long, so that they do not all come for the same one.
   */
  private busy(lane: Lane, workMs: number): ProblemError {
    const { maxWaitMs, threads } = this.settings;
    const now = performance.now();
    const free = now + Math.max(0, this.waitMs(lane) - maxWaitMs);
    const at = Math.min(Math.max(free, this.promised[lane]), free + maxWaitMs);
    this.promised[lane] = at + workMs / threads[lane];
    const seconds = Math.max(1, Math.ceil((at - now) / 1000));
    return new ProblemError("busy", PROBLEMS.busy.meaning, { headers: { "Retry-After": `${seconds}` } });
  }

  async run<N extends TaskName>(name: N, input: TaskInput<N>, asker: Asker = {}): Promise<TaskResult<N>> {
    const key = asker.question === undefined ? null : `${name}\n${asker.question}`;
    let flight = key === null ? undefined : this.flights.get(key);
    if (!flight || flight.job.isAbandoned) {
      flight = this.enqueue(name, input);
      if (key !== null) this.flights.set(key, flight);
    }
    const { job, answer } = flight;
    job.askers.add(asker);
    const onLeave = () => this.leave(job, asker);
    if (asker.signal?.aborted) onLeave();
    asker.signal?.addEventListener("abort", onLeave, { once: true });
    this.dispatch();
    try {
      return (await answer) as TaskResult<N>;
    } finally {
      asker.signal?.removeEventListener("abort", onLeave);
      asker.queuedMs = Math.max(0, job.startedAt - job.queuedAt);
      if (key !== null && this.flights.get(key) === flight) this.flights.delete(key);
    }
  }

  warm(): void {
    for (const lane of LANES) if (this.inLane(lane).length === 0) this.newPost(lane);
  }

  stats() {
    const running = (lane: Lane) => this.inLane(lane).filter(({ job }) => job !== null).length;
    return {
      queued: { short: this.queues.short.length, long: this.queues.long.length },
      running: { short: running("short"), long: running("long") },
      threads: this.posts.length,
    };
  }

  async close(): Promise<void> {
    for (const queue of Object.values(this.queues)) queue.length = 0;
    await Promise.all([...this.posts].map(({ thread }) => thread.end()));
  }
}

/** `Promise.withResolvers`, which Node 20 lacks. */
function withResolvers<T>() {
  let resolve!: (value: T) => void;
  let reject!: (reason: unknown) => void;
  const promise = new Promise<T>((yes, no) => {
    resolve = yes;
    reject = no;
  });
  return { promise, resolve, reject };
}
