// Asks the daemon. Paths are relative, so that the page also works behind a proxy's folder.

import type { AlarmName } from "../analysis/alarms/alarm.ts";
import type { ReportSummary } from "../analysis/report/report.ts";
import type { AcknowledgeAnswer, SessionAnswer, ShelveRequest } from "../daemon/central/central-types.ts";
import type { AlarmsAnswer } from "../daemon/server/alarms-types.ts";
import type {
  ApiError,
  CyclesAnswer,
  FindingsAnswer,
  InflowAnswer,
  LevelAnswer,
  LiveState,
  RainAnswer,
  SiteInfo,
  SizingInputs,
  SpeedRequest,
} from "../daemon/server/api-types.ts";
import type { PhonesAnswer } from "../daemon/server/phones-types.ts";
import type { Span } from "../daemon/stores/store.ts";

export const api = {
  site: () => get<SiteInfo>("api/site"),
  state: () => get<LiveState>("api/state"),
  level: (span: Span, points: number, signal?: AbortSignal) =>
    get<LevelAnswer>(`api/level?${query(span)}&points=${points}`, signal),
  inflow: (span: Span, points: number, signal?: AbortSignal) =>
    get<InflowAnswer>(`api/inflow?${query(span)}&points=${points}`, signal),
  cycles: (span: Span, limit: number, signal?: AbortSignal) =>
    get<CyclesAnswer>(`api/cycles?${query(span)}&limit=${limit}`, signal),
  findings: (span: Span, limit: number, signal?: AbortSignal) =>
    get<FindingsAnswer>(`api/findings?${query(span)}&limit=${limit}`, signal),
  sizing: () => get<SizingInputs>("api/sizing"),
  rain: () => get<RainAnswer>("api/rain"),
  summary: () => get<ReportSummary>("api/summary"),
  alarms: () => get<AlarmsAnswer>("api/alarms"),
  actOnAlarm: (act: AlarmAct) => post<AlarmsAnswer>("api/alarms/act", act),
  /** From afar: the central view hands it on to the board. */
  acknowledgeFromAfar: (alarm: AlarmName, from_s: number) =>
    post<AcknowledgeAnswer>("api/alarms/acknowledge", { alarm, from_s }),
  shelveFromAfar: (alarm: AlarmName, for_s: number | null, why: string | null) =>
    post<AcknowledgeAnswer>("api/alarms/shelve", { alarm, for_s, reason: why } satisfies ShelveRequest),
  session: (overview: string) => get<SessionAnswer>(`${overview}api/session`),
  enterService: (day: string, by: string | null) =>
    post<AlarmsAnswer>("api/alarms/serviced", { day, ...(by !== null && { by }) }),
  takeBackService: (day: string, by: string | null) =>
    post<AlarmsAnswer>("api/alarms/serviced/undo", { day, ...(by !== null && { by }) }),
  testContact: (contact: string, by: string | null, asked_by: string | null) =>
    post<AlarmsAnswer>("api/alarms/test", { contact, by, asked_by }),
  phones: {
    list: () => get<PhonesAnswer>("api/phones"),
    add: (person: string, name: string, subscription: PushSubscriptionJSON) =>
      post<PhonesAnswer>("api/phones", { person, name, subscription }),
    remove: (phone: string) => post<PhonesAnswer>("api/phones/remove", { phone }),
    test: (person: string) => post<PhonesAnswer>("api/phones/test", { person }),
  },
  async setSpeed(speed: number): Promise<void> {
    const body: SpeedRequest = { speed };
    const answer = await fetch("api/speed", {
      method: "PUT",
      headers: { "content-type": "application/json" },
      body: JSON.stringify(body),
    });
    if (!answer.ok) throw new Error(await reason(answer));
  },
};

/** What a person does about an alarm. */
export interface AlarmAct {
  readonly alarm: AlarmName;
  readonly act: "acknowledge" | "reset" | "shelve" | "unshelve" | "out-of-service" | "in-service";
  readonly for_s?: number;
  /** Who does it. */
  readonly by?: string;
  /** Of what is put aside. */
  readonly reason?: string;
}

async function post<Answer>(path: string, body: object): Promise<Answer> {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  if (!answer.ok) throw new Error(await reason(answer));
  return answer.json();
}

async function get<Answer>(path: string, signal?: AbortSignal): Promise<Answer> {
  const answer = await fetch(path, signal ? { signal } : {});
  if (!answer.ok) throw new Error(await reason(answer));
  return answer.json();
}

async function reason(answer: Response): Promise<string> {
  try {
    const { error }: ApiError = await answer.json();
    return error;
  } catch {
    return `${answer.url}: ${answer.status} ${answer.statusText}`;
  }
}

function query({ from_s, to_s }: Span): string {
  return `from_s=${from_s.toFixed(3)}&to_s=${to_s.toFixed(3)}`;
}
