// How a check valve lets water back.

export interface ValveLaw {
  /** Runs back while the flap falls shut, and how long that takes. */
  readonly closing_m3: number;
  readonly closing_s: number;
  /** What seeps back afterwards. `orifice`: by the root of the column; `exponential`: by what is left of it. */
  readonly leak:
    | { readonly law: "tight" }
    | { readonly law: "orifice"; readonly area_m2: number }
    | { readonly law: "exponential"; readonly time_s: number };
}
