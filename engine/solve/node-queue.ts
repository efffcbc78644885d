import type { Proof } from "./leaves.ts";

/** An open part of the search: a box of rung indices in one cell, with a lower bound on its cost. */
export interface Node {
  cell: number;
  bound: number;
  /** What shows the bound; null when it is not kept. */
  proof: Proof | null;
  loIndex: Int32Array;
  hiIndex: Int32Array;
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
    let at = heap.length;
    heap.push(node);
    while (at > 0) {
      const parent = (at - 1) >> 1;
      if (heap[parent]!.bound <= node.bound) break;
      heap[at] = heap[parent]!;
      at = parent;
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
      let child = 2 * at + 1;
      if (child >= heap.length) break;
      if (child + 1 < heap.length && heap[child + 1]!.bound < heap[child]!.bound) child += 1;
      if (heap[child]!.bound >= last.bound) break;
      heap[at] = heap[child]!;
      at = child;
    }
    heap[at] = last;
    return first;
  }
}
