// What stands ready for when the mains fail, as the site file states it. How long it lasts is backup.ts's to say.

export interface BackupSite {
  /** It must hold for so long; null: not stated, then only how long a battery lasts can be said. */
  readonly hold_s: number | null;
  /** Of the battery that is there or offered, Ah at the rated hours; null: one is to be chosen. */
  readonly capacity_ah: number | null;
  readonly volts: number;
  readonly ratedHours: number;
  readonly peukertExponent: number;
  /** Share of the charge that may be drawn. */
  readonly depthOfDischarge: number;
  /** Share of what is drawn from the battery that reaches the pump; 1 for a pump that runs on the battery itself. */
  readonly inverterEfficiency: number;
  /** What the inverter draws from the battery while the pump rests; null: not known. */
  readonly inverterIdle_w: number | null;
  /** Of the battery in winter; null: not known, and nothing is taken off. */
  readonly temperature_c: number | null;
  /** An old battery has lost so much: capacity bought over capacity needed. */
  readonly ageingFactor: number;
  /** What the pump on the battery draws while it runs; null: as logged, else not known. */
  readonly pumpPower_w: number | null;
  /** What the pump on the battery moves, if that is another than the one on the mains; null: the same pump. */
  readonly pumpFlow_m3s: number | null;
}
