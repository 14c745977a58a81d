// What silenced or ended many stations at once, inferred from all their silences together: pure, no store, no clock.
import { createHash } from "node:crypto";

/** A station's silence, in ms since 1970: its last sign of life and what was heard first thereafter. */
export interface Silence {
  station: string;
  low: number;
  high: number;
  /** The longest gap between its signs of life; null where it gives none, so that only its lines tell. */
  rhythmSeconds: number | null;
}

/** A silence that ended with a boot: the station had lost its power. */
export interface BootSilence extends Silence {
  endedSession: boolean;
  othersHeard: boolean;
}

export interface Member {
  station: string;
  /** When it was heard again: with its station the key of a silence. */
  high: number;
}

export interface Cause {
  kind: "power-cut" | "network-loss" | "server-down" | "contact";
  /** It began between the two; with the signs of life that did not come, before `likelyHigh`. */
  low: number;
  likelyHigh: number;
  high: number;
  /** First sign that it was over. */
  until: number;
  members: Member[];
  text: string;
}

/** Power comes back everywhere at once; stations need their time to start and to find the network. */
const togetherMs = 10 * 60_000;
/** A sign of life that is late by this share of the rhythm did not come. */
const lateShare = 1.5;

const deadline = (silence: Silence): number =>
  silence.rhythmSeconds === null ? silence.high : Math.min(silence.high, silence.low + silence.rhythmSeconds * 1000 * lateShare);

/**
 * Splits silences into those that can have begun at one instant: each began between its last sign of life and its deadline, and
 * the smallest set of instants that lies in all of these spans is taken, earliest deadline first.
 */
export function beganTogether<S extends Silence>(silences: S[]): S[][] {
  const groups: S[][] = [];
  let pierce = Number.NEGATIVE_INFINITY;
  const due = silences.map((silence) => ({ silence, deadline: deadline(silence) }));
  due.sort(
    (a, b) => a.deadline - b.deadline || a.silence.low - b.silence.low || (a.silence.station < b.silence.station ? -1 : 1),
  );
  for (const { silence, deadline } of due) {
    if (silence.low < pierce) groups.at(-1)?.push(silence);
    else {
      pierce = deadline;
      groups.push([silence]);
    }
  }
  return groups;
}

/** Between which instants one cause of all these silences struck. */
export function beganBetween(silences: Silence[]): Pick<Cause, "low" | "likelyHigh" | "high" | "until"> {
  const low = Math.max(...silences.map((silence) => silence.low));
  const high = Math.min(...silences.map((silence) => silence.high));
  return { low, likelyHigh: Math.min(...silences.map(deadline)), high, until: high };
}

const membersOf = (silences: Silence[]): Member[] =>
  silences
    .map(({ station, high }) => ({ station, high }))
    .sort((a, b) => (a.station < b.station ? -1 : a.station > b.station ? 1 : a.high - b.high));

const named = (silences: Silence[]): string => {
  const stations = [...new Set(silences.map((silence) => silence.station))].sort((a, b) =>
    a.localeCompare(b, "en", { numeric: true }),
  );
  return stations.length === 1 ? `station ${stations[0]}` : `stations ${stations.slice(0, -1).join(", ")} and ${stations.at(-1)}`;
};

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/**
 * Stations that started anew within ten minutes of each other, having been able to fall silent at one instant, lost their power
 * by one cut. A station that did so alone counts where a session was on: a bad contact where others were heard meanwhile
 * (`othersHeard`), else a cut in doubt.
 */
export function powerCauses(silences: BootSilence[]): Cause[] {
  const causes: Cause[] = [];
  const together: BootSilence[] = [];
  const close = () => {
    const known = together.filter((silence) => silence.rhythmSeconds !== null);
    const unknown = together.filter((silence) => silence.rhythmSeconds === null);
    const groups = beganTogether(known);
    // Without signs of life a station fits any cut between its last line and its boot: it joins the only one there is.
    const only = groups.length === 1 ? groups[0] : undefined;
    const strays: BootSilence[] = [];
    for (const silence of unknown) {
      const at = only && beganBetween(only);
      if (only && at && silence.low < at.high && silence.high > at.low && silence.low < at.likelyHigh) only.push(silence);
      else strays.push(silence);
    }
    for (const group of [...groups, ...beganTogether(strays)]) {
      const cause = powerCause(group);
      if (cause) causes.push(cause);
    }
    together.length = 0;
  };
  for (const silence of [...silences].sort((a, b) => a.high - b.high || (a.station < b.station ? -1 : 1))) {
    const first = together[0];
    if (
      first &&
      (silence.high - first.high > togetherMs ||
        silence.low >= first.high ||
        together.some(({ station }) => station === silence.station))
    ) {
      close();
    }
    together.push(silence);
  }
  close();
  return causes;
}

function powerCause(group: BootSilence[]): Cause | undefined {
  const ended = group.filter((silence) => silence.endedSession).length;
  const [lone] = group;
  if (!lone) return undefined;
  const endings = ended === 0 ? "No session was on." : ended === 1 ? "It ended a session." : `It ended ${ended} sessions.`;
  if (group.length > 1) {
    const text = `${capital(named(group))} fell silent together and started anew together: the power was cut. ${endings}`;
    return { kind: "power-cut", ...beganBetween(group), members: membersOf(group), text };
  }
  if (ended === 0) return undefined;
  const [kind, why] = lone.othersHeard
    ? (["contact", "while others were heard: a bad contact or its own supply"] as const)
    : (["power-cut", "and no other was heard meanwhile: perhaps the power was cut, perhaps only there"] as const);
  return {
    kind,
    ...beganBetween(group),
    members: membersOf(group),
    text: `${capital(named(group))} started anew ${why}. ${endings}`,
  };
}

/**
 * Groups of silences of two stations or more that can have begun at one instant (`beganTogether`) and ended without a boot: the network failed, or the
 * server where every station that was giving signs of life (`alive`) fell silent. Neither ends a session.
 */
export function networkCauses(groups: Silence[][], alive: (atMs: number) => string[]): Cause[] {
  const causes: Cause[] = [];
  for (const group of groups) {
    const stations = new Set(group.map((silence) => silence.station));
    if (stations.size < 2) continue;
    const at = beganBetween(group);
    if (at.low >= at.high) continue;
    const all = alive(at.low).every((station) => stations.has(station));
    const text = all
      ? `Every station (${named(group).replace(/^stations /, "")}) fell silent together and was heard again without having started anew: the server was down. It ended no session.`
      : `${capital(named(group))} fell silent together and were heard again without having started anew: the network failed there. It ended no session.`;
    causes.push({ kind: all ? "server-down" : "network-loss", ...at, members: membersOf(group), text });
  }
  return causes;
}

/** Numbers for causes that follow from what they are, so that they stay when others come and go; told apart in order of time. */
export function numbered(causes: Cause[]): (Cause & { causeId: number })[] {
  const taken = new Set<number>();
  return [...causes]
    .sort((a, b) => a.low - b.low || a.high - b.high || (keyOf(a) < keyOf(b) ? -1 : 1))
    .map((cause) => {
      let causeId = createHash("md5").update(keyOf(cause)).digest().readUInt32BE(0) >>> 1;
      while (taken.has(causeId)) causeId = (causeId + 1) % 2 ** 31;
      taken.add(causeId);
      return { ...cause, causeId };
    });
}

const keyOf = (cause: Cause): string =>
  [cause.kind, cause.low, cause.high, ...cause.members.map((member) => member.station)].join("|");
