import { useEffect, useState } from "preact/hooks";
import { server } from "../../sync/server.ts";
import { List, Reason, Row, Section } from "../parts/index.ts";
import type { OrderAnswer, Trip } from "../words/answers.ts";
import { isUnknown } from "../words/plan.ts";
import type { TripHere } from "./use_trip.tsx";

/** What each order of the day's two or three dives costs in waiting, for a diver on air with no dive before them. */
export function DiveOrder({ here }: { readonly here: TripHere }) {
  const body = question(here);
  const asked = body === null ? null : JSON.stringify(body);
  const [answer, setAnswer] = useState<OrderAnswer | null>(null);
  useEffect(() => {
    setAnswer(null);
    if (asked === null) return undefined;
    const gone = new AbortController();
    server.post<OrderAnswer>("/api/plan", JSON.parse(asked)).then(
      (found) => !gone.signal.aborted && setAnswer(found),
      // No network, or dives that are not planned here: the order is a help and no step of the way.
      () => undefined,
    );
    return () => gone.abort();
  }, [asked]);
  if (answer === null) return null;
  return (
    <Section title="Order of the dives">
      <List label="Order of the dives">
        {answer.order.orders.map((one, n) => (
          <Row key={one.dives.join(" ")} title={one.dives.map((dive) => titleOf(here.trip, dive)).join(", then ")} side={waitingOf(one)} {...(n === 0 ? { note: "least waiting" } : {})}>
            <Reason>
              <p>{one.message.replaceAll(" for diver anyone", "")}</p>
            </Reason>
          </Row>
        ))}
      </List>
      <p>For a diver on air with no dive before these; what each team waits stands on its plan.</p>
    </Section>
  );
}

function question({ trip, club }: TripHere): unknown {
  const dives = trip.dives_planned;
  const unit = dives[0]?.depth.unit;
  const fits = dives.length >= 2 && dives.length <= 3 && dives.every((dive) => dive.depth.unit === unit);
  if (!fits || club === undefined || new Set(dives.map((dive) => dive.depth.hundredths)).size < 2) return null;
  const { settings, units } = club;
  return {
    find: "order",
    depth_unit: unit,
    pressure_unit: units.pressure,
    volume_unit: units.volume,
    method: settings.method,
    gf: settings.gf,
    beyond_40_m_enabled: settings.beyond_40_m_enabled,
    ...(settings.least_surface_interval_min === null ? {} : { least_surface_interval_min: settings.least_surface_interval_min }),
    dives: dives.map((dive) => ({ depth: dive.depth.hundredths / 100, bottom_time_min: dive.bottom_time_s / 60, work: dive.work })),
    divers: [{ id: "anyone", gas: { o2_fraction: 0.21 }, earlier_dives: [] }],
  };
}

function titleOf(trip: Trip, position: number): string {
  const dive = trip.dives_planned[position];
  if (dive === undefined) return "";
  return `${dive.depth.hundredths / 100} ${dive.depth.unit} for ${Math.ceil(dive.bottom_time_s / 60)} min`;
}

function waitingOf(one: OrderAnswer["order"]["orders"][number]): string {
  if (one.waiting_min === undefined) return "not in this order";
  if (one.waiting_min === null) return "not possible";
  return isUnknown(one.waiting_min) ? "not known" : `${one.waiting_min} min of waiting`;
}
