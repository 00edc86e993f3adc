/** Shapes of the server's answers about the float plan. */
interface Said {
  readonly by: string;
  readonly at: string;
  readonly log: boolean;
}

export interface ShoreContact {
  readonly id: string;
  readonly name: string;
  readonly email: string;
  readonly phone: string;
  readonly diver: string | null;
  readonly account: boolean;
  readonly link: string;
}

/** One message to a contact: what became of it and, where a way failed, why. */
export interface ShoreSent {
  readonly contact: string;
  readonly kind: string;
  readonly state: string;
  readonly at: string;
  readonly error: string;
}

/** The float plan as those who plan the trip read it. */
export interface FloatPlan {
  readonly back_by: string | null;
  readonly stands: "nobody" | "armed" | "raised" | "untaken" | "acknowledged" | "handed_over" | "home";
  readonly contacts: readonly ShoreContact[];
  readonly home: Said | null;
  readonly handed_over: Said | null;
  readonly if_not_heard: string;
  readonly if_not_heard_general: string;
  readonly sites: readonly { readonly id: string; readonly name: string; readonly position: string }[];
  readonly mail: boolean;
  /** Where this installation reaches nobody ashore: who said that they are told another way. */
  readonly told_otherwise_by: string;
  readonly heard: string | null;
  readonly alarms: readonly { readonly kind: string; readonly since: string; readonly text: string; readonly acknowledged: Said | null }[];
  readonly sent: readonly ShoreSent[];
}

/** A trip whose alarm ashore is open. */
export interface OpenAlarm {
  readonly trip: string;
  readonly name: string;
  readonly stands: "raised" | "untaken" | "acknowledged";
}
