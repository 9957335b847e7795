import { useEffect, useRef, useState } from "preact/hooks";
import { cautions } from "../core/safety/cautions.ts";
import { CautionsDialog } from "./parts/cautions-dialog.tsx";
import { DemoBanner, DemoProgress } from "./parts/demo-banner.tsx";
import { useModel, useSubscription } from "./parts/model-context.ts";
import { LoadingNote } from "./parts/notes.tsx";
import { ConnectionBanner, ShellHeader, StoreBanner } from "./parts/shell.tsx";
import { hashOf, leaveEvent, type Route, readRoute } from "./route.ts";
import { AboutScreen } from "./screens/about-screen.tsx";
import { CompareScreen } from "./screens/compare-screen.tsx";
import { ConnectScreen } from "./screens/connect-screen.tsx";
import { ExerciseScreen } from "./screens/exercise-screen.tsx";
import { HomeOff, HomeScreen } from "./screens/home-screen.tsx";
import { LiveScreen } from "./screens/live-screen.tsx";
import { PeopleScreen } from "./screens/people-screen.tsx";
import { PersonScreen } from "./screens/person-screen.tsx";
import { PictureScreen } from "./screens/picture-screen.tsx";
import { PlanScreen } from "./screens/plan-screen.tsx";
import { ProfileScreen } from "./screens/profile-screen.tsx";
import { ProgressScreen } from "./screens/progress-screen.tsx";
import { ReferenceScreen } from "./screens/reference-screen.tsx";
import { ReplayScreen } from "./screens/replay-screen.tsx";
import { ReportScreen } from "./screens/report-screen.tsx";
import { ReviewScreen } from "./screens/review-screen.tsx";
import { SessionsScreen } from "./screens/sessions-screen.tsx";
import { SetUpScreen } from "./screens/set-up-screen.tsx";
import { SignalCheckScreen } from "./screens/signal-check-screen.tsx";
import { VolumeScreen } from "./screens/volume-screen.tsx";
import { checkWords } from "./text/check-words.ts";
import { coachWords, referenceWords } from "./text/coach-words.ts";
import { demoWords } from "./text/demo-words.ts";
import { homeWords } from "./text/home-words.ts";
import { peopleWords, personWords } from "./text/people-words.ts";
import { planWords } from "./text/plan-words.ts";
import { profileWords } from "./text/profile-words.ts";
import { reviewWords } from "./text/review-words.ts";
import { strengthWords } from "./text/sight-words.ts";
import { volumeWords } from "./text/volume-words.ts";
import { words } from "./text/words.ts";

/** The page: header, banners, one screen, and the cautions until they are acknowledged. */
export function App() {
	const model = useModel();
	useSubscription(model.onChange);
	const route = useRoute();
	const [isAskedLater, setAskedLater] = useState(false);
	const main = useRef<HTMLElement>(null);

	const { state, bridge } = model;
	const isDemo = state?.records.isDemo ?? false;
	useEffect(() => {
		const title = `${titleOf(route)} · ${words.product}`;
		document.title = isDemo ? `${demoWords.title} · ${title}` : title;
	}, [route, isDemo]);
	const records = state?.records.number ?? null;
	useLeaveOnOtherRecords(records);

	// A page that was closed or reloaded in the middle of a replay left it open.
	const showsReplay = route.screen === "replay" || route.screen === "review";
	const isReplayLeft = !showsReplay && state !== null && state.replay !== null;
	useEffect(() => {
		if (isReplayLeft) void bridge.request("closeReplay", null);
	}, [isReplayLeft, bridge]);
	const home = state?.home ?? null;
	const mustAcknowledge =
		state !== null &&
		home === null &&
		!(state.cautions.acknowledged && state.cautions.version === cautions.version);
	return (
		<>
			<button type="button" class="skip-link" onClick={() => main.current?.focus()}>
				{words.navigation.skip}
			</button>
			{home === null && <ShellHeader route={route} />}
			<ConnectionBanner />
			<DemoBanner />
			<DemoProgress />
			<StoreBanner />
			<main
				id="content"
				ref={main}
				tabIndex={-1}
				class={`screen screen-${home === null ? route.screen : "home"}`}
			>
				{state === null ? (
					<LoadingNote text={words.status.opening} />
				) : home !== null ? (
					<HomeScreen key={`${records} ${home.personId}`} home={home} />
				) : (
					<Screen key={records} route={route} />
				)}
			</main>
			{mustAcknowledge && !isAskedLater && <CautionsDialog onClose={() => setAskedLater(true)} />}
		</>
	);
}

function Screen({ route }: { readonly route: Route }) {
	switch (route.screen) {
		case "live":
			return <LiveScreen />;
		case "check":
			return <SignalCheckScreen />;
		case "volume":
			return <VolumeScreen />;
		case "people":
			return <PeopleScreen />;
		case "reference":
			return <ReferenceScreen key={route.personId} personId={route.personId} />;
		case "exercise":
			return <ExerciseScreen personId={route.personId ?? null} />;
		case "home":
			return <HomeOff />;
		case "person":
			return <PersonScreen key={route.personId} personId={route.personId} />;
		case "plan":
			return <PlanScreen key={route.personId} personId={route.personId} />;
		case "sessions":
			return <SessionsScreen />;
		case "replay":
			return <ReplayScreen key={route.sessionId} sessionId={route.sessionId} />;
		case "review":
			return <ReviewScreen key={route.sessionId} sessionId={route.sessionId} />;
		case "compare":
			return <CompareScreen first={route.first} second={route.second} />;
		case "progress":
			return <ProgressScreen key={route.personId} personId={route.personId} />;
		case "report":
			return <ReportScreen key={route.sessionId} sessionId={route.sessionId} />;
		case "set-up":
			return <SetUpScreen key={route.personId ?? ""} personId={route.personId ?? null} />;
		case "connect":
			return <ConnectScreen />;
		case "profile":
			return <ProfileScreen key={hashOf(route)} name={route.name} isCopy={route.isCopy} />;
		case "about":
			return <AboutScreen />;
		case "picture":
			return <PictureScreen />;
	}
}

function titleOf(route: Route): string {
	switch (route.screen) {
		case "live":
			return words.live.title;
		case "check":
			return checkWords.title;
		case "volume":
			return volumeWords.title;
		case "people":
			return peopleWords.title;
		case "reference":
			return referenceWords.title;
		case "exercise":
			return coachWords.title;
		case "home":
			return homeWords.title;
		case "person":
			return personWords.title;
		case "plan":
			return planWords.title;
		case "sessions":
			return words.sessions.title;
		case "replay":
			return words.replay.title;
		case "review":
			return reviewWords.review.title;
		case "compare":
			return reviewWords.compare.title;
		case "progress":
			return reviewWords.progress.title;
		case "report":
			return reviewWords.report.title;
		case "set-up":
			return words.setUp.title;
		case "connect":
			return words.connect.title;
		case "profile":
			return profileWords.title;
		case "about":
			return words.about.title;
		case "picture":
			return strengthWords.title;
	}
}

/** Other records have other people under the same numbers: whatever was open is left for the list of them. */
function useLeaveOnOtherRecords(records: number | null): void {
	const before = useRef(records);
	useEffect(() => {
		if (records === null) return;
		if (before.current !== null && before.current !== records) location.hash = hashOf({ screen: "people" });
		before.current = records;
	}, [records]);
}

function useRoute(): Route {
	const [hash, setHash] = useState(location.hash);
	useEffect(() => {
		const onHash = (): void => {
			if (window.dispatchEvent(new Event(leaveEvent, { cancelable: true }))) setHash(location.hash);
		};
		window.addEventListener("hashchange", onHash);
		return () => window.removeEventListener("hashchange", onHash);
	}, []);
	return readRoute(hash);
}
