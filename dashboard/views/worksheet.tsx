// The sizing worksheet, fetched when it is first opened: whoever only looks at the basin does not pay for it.

import { useSignal } from "@preact/signals";
import type { ComponentType } from "preact";
import { useEffect } from "preact/hooks";

export function WorksheetView() {
  const loaded = useSignal<{ readonly Worksheet: ComponentType } | null>(null);
  const failure = useSignal<string | null>(null);
  useEffect(() => {
    import("../worksheet/worksheet.tsx").then(
      (module) => {
        loaded.value = module;
      },
      () => {
        failure.value = "The worksheet could not be fetched. Load the page again.";
      },
    );
  }, [loaded, failure]);
  if (failure.value !== null) {
    return (
      <p class="fault" role="alert">
        {failure.value}
      </p>
    );
  }
  const Worksheet = loaded.value?.Worksheet;
  return Worksheet ? <Worksheet /> : <p class="waiting">Fetching the worksheet…</p>;
}
