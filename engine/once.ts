/** A value made when it is first asked for, and kept. */
export function once<T>(make: () => T): () => T {
  let made: { value: T } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

/** What follows from an object that is never changed: made when first asked for, and kept as long as the object is. */
export function onceFor<K extends object, V>(make: (of: K) => V): (of: K) => V {
  const known = new WeakMap<K, V>();
  return (of) => {
    let made = known.get(of);
    if (made === undefined) {
      made = make(of);
      known.set(of, made);
    }
    return made;
  };
}
