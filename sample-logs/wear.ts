// Parts that wear with the hours the motor really turns. (Plain version: nothing wears yet.)

export interface Care {
  machine: number;
  isRepair: boolean;
  seconds: number;
}
export interface Wear {
  /** Adds use to a machine's parts; gives what broke, or null. */
  use(machine: number, runHours: number, enabledHours: number, starts: number, time: number): string | null;
  /** A maintainer's round: what was done on idle machines. */
  care(time: number, isIdle: (machine: number) => boolean): Care[];
}

export const noWear = (): Wear => ({ use: () => null, care: () => [] });
