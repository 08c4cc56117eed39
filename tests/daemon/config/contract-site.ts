// The site file of the contract, letter by letter.

export const contractSite = `site: { name: Example house, timezone: America/Toronto, display_units: us }   # us | metric
basin:
  shape: round            # round | rectangular | table
  diameter: 18 in         # round
  # width: 40 cm          # rectangular
  # length: 60 cm
  # table: [[0 mm, 0 L], [100 mm, 14 L], [500 mm, 92 L]]   # level, volume; monotonic, linear between rows
  occupied_area: 50 cm2   # horizontal area taken up by pump and pipes (not for table)
  depth: 30 in
  start_level: 14 in      # the pump's float closes
  stop_level: 6 in        # the pump's float opens
  high_level: 20 in       # high water
  overflow_level: 30 in   # water reaches the floor
pump:
  curve: [[0 gpm, 25 ft], [20 gpm, 20 ft], [40 gpm, 11 ft], [52 gpm, 0 ft]]   # flow, head
  max_starts_per_hour: 20
  min_run: 8 s
discharge:
  high_point: 10 ft       # highest point of the discharge above the inside bottom of the basin
  pipe: { material: pvc-40, nominal: 1-1/2 in, length: 22 ft }
  fittings: [{ kind: elbow-90, count: 3 }, { kind: check-valve-swing, count: 1 }]
design:
  inflow_factor: 1.5      # allowance over the measured peak; common practice
`;
