// Whoever uses the keyboard is not thrown back to the top of the page: when what had the focus goes (an alarm was answered,
// and its button with it), the content has it, and the next Tab leads to its first control.

export function keepFocus(): void {
  let last: Element | null = null;
  document.addEventListener("focusin", ({ target }) => {
    last = target instanceof Element ? target : null;
  });
  new MutationObserver(() => {
    if (last === null || last.isConnected || document.activeElement !== document.body) return;
    last = null;
    document.getElementById("main")?.focus({ preventScroll: true });
  }).observe(document.body, { childList: true, subtree: true });
}
