import { createContext } from "preact";
import { useContext, useEffect, useState } from "preact/hooks";
import type { AppState } from "../../app/contract.ts";
import type { PageModel } from "../page-model.ts";
import type { Preferences } from "../preferences.ts";

export const ModelContext = createContext<PageModel | null>(null);

/** @throws TypeError outside of the page. */
export function useModel(): PageModel {
	const model = useContext(ModelContext);
	if (model === null) throw new TypeError("no page model around this component");
	return model;
}

/** Renders the component again whenever `subscribe` tells. */
export function useSubscription(subscribe: (listener: () => void) => () => void): void {
	const [, setTold] = useState(0);
	useEffect(() => subscribe(() => setTold((told) => told + 1)), [subscribe]);
}

/** The app's state; screens are only shown once there is one. */
export function useAppState(): AppState {
	const model = useModel();
	useSubscription(model.onChange);
	if (model.state === null) throw new TypeError("no state has come yet");
	return model.state;
}

export function usePreferences(): [Preferences, (part: Partial<Preferences>) => void] {
	const { preferences } = useModel();
	useSubscription(preferences.onChange);
	return [preferences.value, preferences.change];
}
