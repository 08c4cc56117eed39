// The discharge: how high it goes, which pipe, how long, and what the water passes on its way.

import { fittingTable, type TabledFitting } from "../../../analysis/hydraulics/fitting-loss.ts";
import { materialLabel, pipeMaterials, pipeSizes } from "../../../analysis/hydraulics/pipe-table.ts";
import { site } from "../../live.ts";
import { Choice, Counter } from "../choice.tsx";
import { SheetField } from "../number-field.tsx";
import { isPlain, sameSize } from "../sheet.ts";
import { change, sheet } from "../state.ts";

const kinds = Object.keys(fittingTable) as TabledFitting[];
/** What most discharges have; the rest is folded away. */
const common: readonly TabledFitting[] = [
  "elbow-90",
  "elbow-45",
  "check-valve-swing",
  "check-valve-spring",
  "ball-valve",
  "union",
];

export function PipeStep() {
  const now = sheet.value;
  if (!now) return null;
  const sizes = now.material === null ? [] : pipeSizes(now.material);
  const size = sizes.find(({ nominal_m }) => sameSize(nominal_m, now.nominal_m));
  const isOpen = kinds.some((kind) => !common.includes(kind) && (now.counts[kind] ?? 0) > 0);
  return (
    <>
      <SheetField name="highPoint" />
      <Choice
        label="Material"
        where="Printed along the pipe, with its schedule or class."
        value={now.material}
        choices={pipeMaterials.map((value) => ({ value, word: materialLabel(value) }))}
        choose={(material) => change({ material, nominal_m: null })}
      />
      <Choice
        label="Size, as the trade names it"
        where="Printed beside the material. It is not the inside diameter, which the table knows."
        value={size?.label ?? null}
        choices={sizes.map(({ label }) => ({ value: label, word: label }))}
        choose={(label) => change({ nominal_m: sizes.find((known) => known.label === label)?.nominal_m ?? null })}
      />
      <SheetField name="pipeLength" />
      <SheetField name="bore" />
      <Kept />
      <h3>Fittings</h3>
      <p class="where">
        Walk along the pipe from the pump to where the water leaves, and count. K is how many velocity heads one takes.
      </p>
      <div class="counters">
        {common.map((kind) => (
          <FittingCounter key={kind} kind={kind} />
        ))}
      </div>
      <details open={isOpen}>
        <summary>Other fittings</summary>
        <div class="counters">
          {kinds
            .filter((kind) => !common.includes(kind))
            .map((kind) => (
              <FittingCounter key={kind} kind={kind} />
            ))}
        </div>
      </details>
    </>
  );
}

/** What the sheet does not ask for and reckons with all the same. */
function Kept() {
  const discharge = site.value?.site.discharge;
  const kept = [
    (discharge?.further?.length ?? 0) > 0 && "further lengths of another size",
    (discharge?.risers ?? []).some((riser) => riser !== null) && "each pump's own riser",
    discharge?.fittings.some((fitting) => !isPlain(fitting)) && "fittings with a coefficient of their own",
  ].filter((part) => typeof part === "string");
  if (kept.length === 0) return null;
  return <p>As the site file has them, and reckoned with beside what stands here: {kept.join(", ")}.</p>;
}

function FittingCounter({ kind }: { kind: TabledFitting }) {
  const counts = sheet.value?.counts ?? {};
  const { label, k } = fittingTable[kind];
  return (
    <Counter
      label={label}
      hint={`K ${k}`}
      count={counts[kind] ?? 0}
      set={(count) => change({ counts: { ...counts, [kind]: count } })}
    />
  );
}
