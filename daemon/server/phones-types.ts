// What the API says of the phones that are told, and what a phone itself is given, as types.

/** GET /api/phones, and the answer to what is done about one. */
export interface PhonesAnswer {
  /** What a browser needs to subscribe, in base64url; null where phones are not told. */
  readonly publicKey: string | null;
  /** Why not; null where they are. */
  readonly problem: string | null;
  /** Where the page is under https, as its owner says; null: not said. */
  readonly secureAddress: string | null;
  /** Who can be told by phones, and by which they are. */
  readonly people: readonly {
    readonly name: string;
    /** Name of the channel; null where it is nobody's any more. */
    readonly by: string | null;
    readonly phones: readonly PhoneShown[];
  }[];
}

export interface PhoneShown {
  readonly id: string;
  readonly name: string;
  readonly since_s: number;
  /** The push service last took something for it. */
  readonly took_s: number | null;
  /** It said itself that it showed something. */
  readonly shown_s: number | null;
  /** Since when it is told no more, and why. */
  readonly ended: { readonly at_s: number; readonly reason: string } | null;
  /** Why it was not reached last time; null: it was, or nothing was sent. */
  readonly problem: string | null;
}

/** POST /api/phones/shown: whether that phone was sent that message. */
export interface ShownAnswer {
  readonly known: boolean;
}

/** What the phone's service worker is given, encrypted. */
export interface PushNote {
  /** The same for each attempt at the same message: it is shown once. */
  readonly key: string;
  /** What is said of one thing replaces what was said of it before. */
  readonly tag: string;
  readonly title: string;
  readonly text: string;
  /** Where a tap leads; null: to the page. */
  readonly url: string | null;
  /** A tap on the button acknowledges at `url`. */
  readonly canAnswer: boolean;
  /** Stays on the screen until somebody looks. */
  readonly stays: boolean;
  /** What lasts of what it tells of, and what is over; a notice all of whose is over is taken off the screen. */
  readonly lasts: readonly string[];
  readonly over: readonly string[];
  /** Which of the phones this is, so that it can say that it showed it. */
  readonly phone: string;
}
