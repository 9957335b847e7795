import { expect, test } from "vitest";
import { watchScenario, wornScenarios } from "./watch-scenario.ts";

test.each(wornScenarios)("five minutes of %s, with drift, raise no alarm", (scenario) => {
	expect(watchScenario(scenario, 4, 300, true).told).toEqual([]);
});
