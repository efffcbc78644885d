import type { Proof } from "./leaves.ts";
import type { Span } from "./rungs.ts";

/** An open part of the search: a box of rungs in one cell, with a lower bound on its cost. */
export interface Node {
  cell: number;
  bound: number;
  /** What shows the bound; null when it is not kept. */
  proof: Proof | null;
  /** By ingredient. */
  box: readonly Span[];
}

/** A binary heap of nodes, least bound first. */
export class NodeQueue {
  private readonly heap: Node[] = [];

  /** Least bound of what is open, +∞ when nothing is. */
  get leastBound(): number {
    return this.heap[0]?.bound ?? Number.POSITIVE_INFINITY;
  }

  /** What is open, in no order. */
  rest(): readonly Node[] {
    return this.heap;
  }

  /** Forget all nodes. */
  clear(): void {
    this.heap.length = 0;
  }

  /** Add a node. */
  push(node: Node): void {
    const { heap } = this;
    let at = heap.push(node) - 1;
    while (at > 0) {
      const above = (at - 1) >> 1;
      const parent = heap[above];
      if (!parent || parent.bound <= node.bound) break;
      heap[at] = parent;
      at = above;
    }
    heap[at] = node;
  }

  /** Take the node with the least bound. */
  pop(): Node | undefined {
    const { heap } = this;
    const first = heap[0];
    const last = heap.pop();
    if (heap.length === 0 || last === undefined) return first;
    let at = 0;
    for (;;) {
      const below = 2 * at + 1;
      const [left, right] = [heap[below], heap[below + 1]];
      const isRight = left && right && right.bound < left.bound;
      const child = isRight ? right : left;
      if (!child || child.bound >= last.bound) break;
      heap[at] = child;
      at = isRight ? below + 1 : below;
    }
    heap[at] = last;
    return first;
  }
}
