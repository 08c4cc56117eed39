// The project's sign and name, and beneath it whose page this is.

import { Arch } from "./arch.tsx";

export function Brand({ name }: { name: string }) {
  return (
    <div class="brand">
      <Arch />
      <div>
        <span class="brand-word">Undercroft</span>
        <span class="brand-site">{name}</span>
      </div>
    </div>
  );
}
