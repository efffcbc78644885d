/** The answer of one of the server's routes; null when there is none, or no leave. */
export async function answerOf<T>(
  path: string,
  { leave, method, body }: { leave: Record<string, string>; method?: string; body?: object },
): Promise<T | null> {
  try {
    const response = await fetch(path, {
      ...(method !== undefined && { method }),
      headers: { ...leave, ...(body && { "Content-Type": "application/json" }) },
      ...(body && { body: JSON.stringify(body) }),
    });
    return response.ok ? ((await response.json()) as T) : null;
  } catch {
    return null;
  }
}
