// Where everything of the central machine lies. Below another root than `/` the same tree can be made, and its programs
// be started by hand, without touching the machine.

import { join } from "node:path";

export interface Places {
  readonly root: string;
  /** All that is configured. */
  readonly etc: string;
  readonly machine: string;
  readonly centralFile: string;
  readonly tls: string;
  readonly secrets: string;
  /** One folder for each board, with its passwords. */
  readonly boards: string;
  /** The files to carry to the boards. */
  readonly bundles: string;
  readonly broker: { readonly conf: string; readonly accounts: string; readonly rights: string; readonly data: string };
  readonly database: { readonly conf: string; readonly data: string };
  readonly view: { readonly data: string };
  /** One file for each basin of the central view. */
  readonly basins: string;
  readonly units: string;
}

export function placesBelow(root: string): Places {
  const etc = join(root, "etc/undercroft-central");
  const data = join(root, "var/lib/undercroft-central");
  return {
    root,
    etc,
    machine: join(etc, "machine.yaml"),
    centralFile: join(etc, "central.yaml"),
    tls: join(etc, "tls"),
    secrets: join(etc, "secrets"),
    boards: join(etc, "boards"),
    bundles: join(etc, "for-boards"),
    broker: {
      conf: join(etc, "broker/broker.conf"),
      accounts: join(etc, "broker/accounts"),
      rights: join(etc, "broker/rights"),
      data: join(data, "broker"),
    },
    database: { conf: join(etc, "database.conf"), data: join(data, "database") },
    view: { data: join(data, "view") },
    basins: join(etc, "basins"),
    units: join(root, "etc/systemd/system"),
  };
}
