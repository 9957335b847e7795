/** What stands around every screen: navigation, what is going on in words, and banners. */
import { useState } from "preact/hooks";
import type { AppState } from "../../app/contract.ts";
import type { ThemeChoice } from "../preferences.ts";
import { hashOf, type Route, type ScreenName } from "../route.ts";
import { formatClock } from "../text/quantity.ts";
import { volumeWords } from "../text/volume-words.ts";
import { linkWords, words } from "../text/words.ts";
import { Icon } from "./icon.tsx";
import { useModel, usePreferences, useSubscription } from "./model-context.ts";
import { FaultNote } from "./notes.tsx";
import { SimulatedTag } from "./simulated-tag.tsx";
import { useClock } from "./use-clock.ts";

const tabs = [
	{ route: { screen: "live" }, text: words.navigation.live },
	{ route: { screen: "volume" }, text: volumeWords.title },
	{ route: { screen: "people" }, text: words.navigation.people },
	{ route: { screen: "sessions" }, text: words.navigation.sessions },
	{ route: { screen: "set-up" }, text: words.navigation.setUp },
	{ route: { screen: "connect" }, text: words.navigation.connect },
	{ route: { screen: "about" }, text: words.navigation.about },
] as const satisfies readonly { route: Route; text: string }[];

export function ShellHeader({ route }: { readonly route: Route }) {
	const model = useModel();
	useSubscription(model.onChange);
	const current = tabOf(route);
	return (
		<header class="shell">
			<a class="brand" href={hashOf({ screen: "live" })}>
				<svg class="brand-mark" viewBox="0 0 32 32" aria-hidden="true" focusable="false">
					<rect width="32" height="32" rx="7" />
					<path d="M5 21.5 12 21.5 20 10.5 27 10.5" />
					<circle cx="12" cy="21.5" r="2.9" />
					<circle cx="20" cy="10.5" r="2.9" />
				</svg>
				{words.product}
			</a>
			<nav class="tabs" aria-label={words.navigation.label}>
				{tabs.map(({ route: target, text }) => (
					<a
						key={target.screen}
						class="tab"
						href={hashOf(target)}
						aria-current={current === target.screen ? "page" : undefined}
					>
						{text}
					</a>
				))}
			</nav>
			{model.state !== null && <ShellStatus state={model.state} route={route} />}
			<ThemeChoiceField />
		</header>
	);
}

/** The tab under which a screen is found. */
function tabOf({ screen }: Route): ScreenName {
	switch (screen) {
		case "check":
			return "live";
		case "replay":
		case "review":
		case "compare":
		case "report":
			return "sessions";
		case "progress":
		case "person":
		case "plan":
		case "reference":
		case "exercise":
			return "people";
		case "profile":
			return "connect";
		case "picture":
			return "about";
		default:
			return screen;
	}
}

/** Whose band is on. Beside stored records of somebody else it says so, lest it be read as theirs. */
function ShellStatus({ state, route }: { readonly state: AppState; readonly route: Route }) {
	const { person } = state.setup;
	const isOfBand = ["live", "volume", "set-up", "connect"].includes(tabOf(route));
	const name = person === null ? words.status.noPerson : (person.displayName ?? person.code);
	return (
		<div class="shell-status">
			<SimulatedTag />
			{state.recording !== null && <RecordingTag startedAt={state.recording.startedAt} />}
			<div class="shell-words">
				<p class="shell-person">
					{isOfBand ? (
						name
					) : (
						<>
							<span class="shell-band">{words.status.atBand}</span>{" "}
							{person === null ? words.status.nobody : name}
						</>
					)}
				</p>
				<p class="shell-link" role="status">
					{linkWords(state.link)}
				</p>
			</div>
		</div>
	);
}

function RecordingTag({ startedAt }: { readonly startedAt: string }) {
	const now = useClock(1000);
	return (
		<span class="tag tag-recording">
			<Icon name="record" />
			{words.status.recording}{" "}
			<span class="figures">{formatClock((now - Date.parse(startedAt)) / 1000)}</span>
		</span>
	);
}

function ThemeChoiceField() {
	const [{ theme }, setPreferences] = usePreferences();
	return (
		<label class="theme-choice">
			<span class="visually-hidden">{words.theme.label}</span>
			<select
				class="input input-small"
				title={words.theme.label}
				value={theme}
				onChange={(event) => setPreferences({ theme: event.currentTarget.value as ThemeChoice })}
			>
				<option value="system">{words.theme.system}</option>
				<option value="light">{words.theme.light}</option>
				<option value="dark">{words.theme.dark}</option>
			</select>
		</label>
	);
}

export function ConnectionBanner() {
	const model = useModel();
	useSubscription(model.onChange);
	const { connection } = model;
	if (connection !== "lost" && connection !== "closed") return null;
	return (
		<div class="banner" role="alert">
			<Icon name="caution" />
			<p>
				<strong>{words.status[connection]}</strong>{" "}
				{connection === "closed" ? words.status.closedHint : model.state !== null && words.status.lostHint}
			</p>
		</div>
	);
}

export function StoreBanner() {
	const model = useModel();
	useSubscription(model.onChange);
	const fault = model.state?.storeFault ?? null;
	const [dismissed, setDismissed] = useState<string | null>(null);
	const key = JSON.stringify(fault);
	if (fault === null || dismissed === key) return null;
	return (
		<div class="banner-space">
			<FaultNote fault={fault} onDismiss={() => setDismissed(key)} />
		</div>
	);
}
