// The project's own sign: a vault with water in it.

export function Arch() {
  return (
    <svg class="arch" viewBox="0 0 32 32" aria-hidden="true">
      <path d="M2 30V16a14 14 0 0 1 28 0v14h-5V16a9 9 0 0 0-18 0v14z" class="arch-stone" />
      <path d="M9 30v-8q3.5-3 7 0t7 0v8z" class="arch-water" />
    </svg>
  );
}
