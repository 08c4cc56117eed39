// Name and password.

import { useSignal } from "@preact/signals";
import { logIn } from "./hear.ts";

export function LogIn() {
  const problem = useSignal<string | null>(null);
  const waiting = useSignal(false);

  async function send(event: SubmitEvent): Promise<void> {
    event.preventDefault();
    if (!(event.currentTarget instanceof HTMLFormElement)) return;
    const data = new FormData(event.currentTarget);
    waiting.value = true;
    problem.value = inWords(await logIn(String(data.get("name")), String(data.get("password"))));
    waiting.value = false;
  }

  return (
    <form class="log-in" onSubmit={send}>
      <h1>Log in</h1>
      <label>
        Name
        <input name="name" autocomplete="username" autocapitalize="none" required maxLength={100} />
      </label>
      <label>
        Password
        <input name="password" type="password" autocomplete="current-password" required maxLength={500} />
      </label>
      {problem.value && (
        <p class="fault" role="alert">
          {problem.value}
        </p>
      )}
      <button type="submit" disabled={waiting.value}>
        Log in
      </button>
    </form>
  );
}

/** `log-in: name or password is wrong` as a sentence. */
function inWords(error: string | null): string | null {
  const words = error?.replace(/^log-in: /, "");
  return words ? `${words.charAt(0).toUpperCase()}${words.slice(1)}${words.endsWith(".") ? "" : "."}` : null;
}
