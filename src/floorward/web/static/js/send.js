/* Send one kept entry and say in one word what became of it. */

const PATIENCE_MS = 8000;

function token() {
  return document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1] ?? "";
}

/* {word: "stored", next} | {word: "refused", status, page} | {word: "signed-out" | "again" | "away"} */
export async function send(entry) {
  const headers = {
    "Content-Type": "application/x-www-form-urlencoded",
    "X-CSRFToken": token(),
    "X-Kept": entry.key,
    "X-Held-Ms": String(Math.max(0, Date.now() - entry.at)),
    "X-After": entry.after ?? "",
  };
  try {
    const signal = AbortSignal.timeout(PATIENCE_MS);
    const answer = await fetch(entry.action, { method: "POST", body: entry.body, headers, signal });
    if (answer.status === 204) return { word: "stored", next: answer.headers.get("X-Next") };
    if (answer.status === 401) return { word: "signed-out" };
    if (answer.status === 403) return { word: "again" };
    if (answer.status >= 500 || answer.status === 408 || answer.status === 429) return { word: "away" };
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    return { word: "refused", status: answer.status, page };
  } catch {
    return { word: "away" };
  }
}

/* The sentences of a refusal, as the page has them. */
export function said(page) {
  const found = page.querySelectorAll("main .ask-again, main .slip-up");
  const sentences = Array.from(found.length ? found : page.querySelectorAll("main h1"), (one) => one.textContent.trim());
  return [...new Set(sentences)].join(" ");
}
