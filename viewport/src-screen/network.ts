// Asking the workbench, and telling apart why it does not answer.

import type { Finding } from "./contract";

export const BASE = "/bend/_/api/";
const PATIENCE_MS = 8_000;
/** A decision is solved before it is answered. */
const LONG_PATIENCE_MS = 90_000;

export type Answer<T> =
  | { kind: "ok"; body: T }
  | { kind: "refused"; status: number; findings: Finding[] }
  | { kind: "shut" }
  | { kind: "away" };

export async function ask<T>(path: string, body?: unknown, isLong = false): Promise<Answer<T>> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), isLong ? LONG_PATIENCE_MS : PATIENCE_MS);
  try {
    const request: RequestInit = { signal: stop.signal, cache: "no-store", credentials: "same-origin" };
    if (body !== undefined) {
      request.method = "POST";
      request.headers = { "content-type": "application/json" };
      request.body = JSON.stringify(body);
    }
    const response = await fetch(BASE + path, request);
    if (response.status === 401 || response.status === 403) return { kind: "shut" };
    if (response.status >= 500 || response.status === 429) return { kind: "away" };
    const told = await response.json().catch(() => ({}));
    if (response.ok) return { kind: "ok", body: told as T };
    return { kind: "refused", status: response.status, findings: findingsOf(told, response.status) };
  } catch {
    return { kind: "away" };
  } finally {
    clearTimeout(timer);
  }
}

function findingsOf(told: unknown, status: number): Finding[] {
  const found = (told as { findings?: Finding[] }).findings;
  if (Array.isArray(found) && found.length > 0) return found;
  return [{ code: String(status), sentence: "The workbench does not take that.", todo: "Type it again." }];
}
