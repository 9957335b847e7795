/** What the screens say. One catalogue, so that wording is reviewed (and one day translated) in one place. */
import type { AppState, LinkState, PortInfo, ScenarioName } from "../../app/contract.ts";
import { formatCount, formatQuantity } from "./quantity.ts";

export const words = {
	product: "Tautline",
	navigation: {
		label: "Screens",
		live: "Live",
		people: "People",
		sessions: "Sessions",
		setUp: "Set-up",
		connect: "Connect",
		about: "About",
		skip: "Skip to content",
	},
	status: {
		simulated: "Simulated",
		simulatedHint: "Invented data from a simulated person, not from a band.",
		recording: "Recording",
		replay: "Replay",
		noPerson: "No person chosen",
		atBand: "Band:",
		nobody: "no person chosen",
		opening: "Connecting to the app …",
		lost: "The page lost its connection to the app. Trying again …",
		lostHint: "What you see may be old. A running recording goes on in the app.",
		closed: "Tautline was closed or started again.",
		closedHint:
			"This page cannot reach it any more. Start Tautline if it is not running, and open the address that it prints. What was recorded is kept.",
		dismiss: "Dismiss",
	},
	theme: { label: "Appearance", system: "System", light: "Light", dark: "Dark" },
	picture: {
		standsOut: "Names in boxes change most now",
		electrodeOut: (number: number) => `${number} out`,
		title: "Change in conductivity since rest",
		anterior: "Anterior",
		posterior: "Posterior",
		medial: "Medial",
		lateral: "Lateral",
		fromFoot: "Seen from the foot",
		fromHip: "Seen from the hip",
		foot: "From the foot",
		hip: "From the hip",
		mirror: "Viewing side",
		leftThigh: "Left thigh",
		rightThigh: "Right thigh",
		tank: "Test tank",
		band: (index: number) => `Band ${index + 1}`,
		scale: "Colour scale",
		scaleChange: "Change",
		scaleSize: "Size",
		more: "More conductive",
		less: "Less conductive",
		larger: "Larger change",
		same: "No change",
		lock: "Lock",
		locked: "Locked",
		lockLabel: "Lock colour scale",
		chooseBand: "Band shown",
		canvas: (range: string, regions: string) =>
			`Tomogram of the thigh. Colour scale ends at ${range}. ${regions}`,
	},
	contact: {
		allGood: (count: number) => `Contact good at all ${count} electrodes`,
		unknown: "Contact not reported by this board",
		list: (kind: string, numbers: string) => `${kind}: ${numbers}`,
		fair: "fair contact",
		poor: "poor contact",
		off: "off the skin",
		check: "Check contacts",
	},
	trends: {
		computing: "Computing the lines of the whole recording …",
		restTaken: "rest taken",
		restFollowed: "rest followed",
		title: "Change by region",
		window: "Time span",
		seconds10: "10 s",
		minute1: "1 min",
		all: "All",
		pause: "Pause",
		resume: "Resume",
		zoomIn: "Zoom in",
		zoomOut: "Zoom out",
		whole: "Whole recording",
		now: "now",
		zoomHint: "Drag across the lines to zoom. Plus and minus zoom, arrows move.",
		canvas: (regions: number) => `Lines of conductivity change over time for ${regions} regions`,
	},
	readout: {
		title: "Now",
		caption: "Change since rest, mean of the last half second",
		atRest: "rest noise",
		estimated: "Measured without some readings: values marked ≈ are estimates.",
		about: "≈",
		remark: "Remark",
		region: "Region",
		change: "Change",
	},
	live: {
		title: "Live",
		waiting: "Waiting for the first picture",
		waitingFor: (link: string) => `Waiting for pictures: ${link}`,
		emptyTitle: "No band is streaming",
		emptyText: "Connect a band, or start the simulated one to look around.",
		goConnect: "Connect a band",
		preparingStep: (step: string) => `Preparing the picture: ${step}`,
		failed: "The picture cannot be made",
		noBaseline: "No rest baseline",
		baselineAuto: (age: string) => `Rest baseline ${age}, automatic`,
		baselineManual: (age: string) => `Rest baseline ${age}`,
		takeBaseline: "Take rest baseline",
		takingBaseline: (seconds: number) => `Keep still … ${Math.max(0, Math.ceil(seconds))} s`,
		cancel: "Cancel",
		record: "Record",
		stop: "Stop recording",
		recorded: (frames: string) => `${frames} frames`,
		batteryLow: (percent: string) =>
			`The band’s battery is low (${percent}). Charge it soon; when it is empty the band stops by itself.`,
		recordingWaits: (serial: string) =>
			`Another band is connected. Nothing is recorded until band ${serial} is back: connect it, or stop the recording.`,
		largeView: "Large view",
		stored: "Recording stored.",
		openStored: "Open it",
	},
	quality: {
		title: "Signal",
		rateUnit: "frames/s",
		frames: "Frames a second",
		received: "Frames received",
		lost: "Frames lost",
		late: "Frames late",
		bad: "Lines skipped",
		noise: "Signal above noise at rest",
		reciprocity: "Reciprocity error, median",
		contact: "Contact",
		drive: "Current and gain",
		clock: "Board’s clock",
		clockUnknown: "followed for too short a time",
		clockExact: "agrees with the computer’s",
		clockFast: (ppm: string) => `${ppm} fast`,
		clockSlow: (ppm: string) => `${ppm} slow`,
		details: "Signal details",
		good: "Signal good",
		fair: "Signal fair",
		poor: "Signal poor",
		unknown: "Signal not judged yet",
		notKnown: "not known yet",
	},
	sessions: {
		title: "Sessions",
		person: "Person",
		everyone: "Everyone",
		search: "Search in titles and notes",
		searchLabel: "Search",
		open: "Open recording file …",
		importing: "Reading the file …",
		emptyTitle: "No recordings yet",
		emptyText: "Record on the live screen, or open a recording file. Recordings appear here, newest first.",
		goLive: "Go to the live screen",
		noMatch: "No recording matches",
		noMatchText: "Choose everyone, or search for something else.",
		clear: "Show all",
		columnTitle: "Recording",
		columnPerson: "Person",
		columnDate: "Date",
		columnLength: "Length",
		columnFrames: "Frames",
		untitled: "Untitled recording",
		simulated: "Simulated",
		imported: "From a file",
		incomplete: "Incomplete",
		incompleteHint: "The app ended while recording; what had arrived is there.",
		left: "left",
		right: "right",
		previous: "Previous page",
		next: "Next page",
		page: (from: number, to: number, total: number) =>
			`${formatCount(from)} to ${formatCount(to)} of ${formatCount(total)}`,
		loading: "Loading the recordings …",
	},
	replay: {
		title: "Replay",
		back: "All sessions",
		play: "Play",
		pause: "Pause",
		position: "Position in the recording",
		speed: "Speed",
		speedTimes: (speed: number) => `${speed}×`,
		marks: "Marks",
		noMarks: "None",
		chooseMark: "Go to a mark …",
		noRegions: "This recording has no named regions, so there are no lines to draw.",
		noMarksText: "Use the scrubber below to look at its frames.",
		emptyTitle: "Nothing was recorded",
		emptyText: "This recording holds no frames: no picture can be made of it.",
		notes: "Notes",
		titleField: "Title",
		save: "Save",
		saved: "Saved",
		csv: "Export CSV",
		json: "Export JSON",
		volumeCsv: "Volume CSV",
		volumeJson: "Volume JSON",
		volumeHint: "What each muscle’s part of the volume shows over time; computed for the file.",
		cancelExport: "Cancel",
		views: "What is shown",
		sections: "Section",
		volume: "Volume",
		exporting: (share: number) => `Exporting: ${Math.round(100 * share)} %`,
		exported: (name: string) => `${name} was handed to your downloads.`,
		keys: "Space plays and pauses, arrows move by a second, Home and End jump.",
		opening: "Opening the recording …",
		facts: (frames: number, lost: number, bad: number) =>
			`${formatCount(frames)} frames, ${formatCount(lost)} lost, ${formatCount(bad)} bad`,
	},
	setUp: {
		title: "Set-up",
		lead: "Whom and what the next recording belongs to. The picture follows these measures.",
		person: "Person",
		choosePerson: "Person",
		nobody: "Nobody (not stored with a person)",
		newPerson: "New person …",
		code: "Code",
		codeHint: "A study or file number rather than a name.",
		displayName: "Name shown (optional)",
		affectedSide: "Affected side",
		sides: { left: "Left", right: "Right", both: "Both", none: "Neither" },
		savePerson: "Save person",
		limb: "Thigh",
		side: "Side",
		shape: "Shape",
		shapes: { round: "Round", oval: "Width and depth", points: "Measured points" },
		circumference: "Circumference",
		circumferenceHint: "Tape around the thigh at the band, muscles relaxed.",
		width: "Width, side to side",
		depth: "Depth, front to back",
		ovalHint: "Only their ratio counts; the circumference sets the size.",
		points: "Points on the skin",
		pointsHint:
			"One point a line: cm to the person’s left, then cm to the front. At least six, in order around.",
		fat: "Fat under the skin",
		level: "Height above the knee",
		levelHint: "Share of the thigh’s length, knee to hip.",
		band: "Band",
		bandName: "Name of the band",
		electrodes: "Electrodes",
		electrodeWidth: "Electrode width",
		first: "Electrode 1, from the front",
		firstHint: "Degrees towards the person’s left; minus is to the right.",
		direction: "Numbers run",
		directions: {
			anticlockwise: "Anticlockwise, seen from the foot",
			clockwise: "Clockwise, seen from the foot",
		},
		preview: "Preview",
		previewCanvas: (count: number, side: string) =>
			`Drawing of the ${side} thigh with ${count} electrodes, seen from the foot`,
		pitch: "Electrode spacing",
		area: "Area inside",
		confirmTitle: "Unusual circumference",
		confirmText: (centimetres: string) =>
			`${centimetres} is unusual for a thigh (most are 35 to 75 cm). Is it right?`,
		confirmYes: "Yes, use it",
		confirmNo: "Go back and correct it",
		apply: "Use this set-up",
		applied: "The set-up is in use.",
		unchanged: "This set-up is in use.",
		simulatedNote: "The simulated person has the thigh, and wears the band, that you set up here.",
		fixFirst: "Correct the marked fields first.",
	},
	connect: {
		title: "Connect",
		now: "Now",
		real: "A real band",
		realText: "Switch the board on and wear the band as in the set-up.",
		ports: "Ports",
		portsLoading: "Looking for ports …",
		noPorts: "No ports found",
		noPortsText: "Plug the board in, or pair it over Bluetooth first, then refresh.",
		refresh: "Refresh",
		baud: "Baud rate",
		baudHint: "Ignored by most Bluetooth ports.",
		connect: "Connect",
		disconnect: "Disconnect",
		simulated: "A simulated band",
		simulatedText: "An invented person does exercises. Everything shown and stored is marked simulated.",
		scenario: "What the person does",
		framesPerSecond: "Frames a second",
		bands: "Bands",
		electrodes: "Electrodes a band",
		seed: "Seed",
		seedHint: "The same seed gives the same run.",
		corrupt: "Lines corrupted",
		drop: "Lines dropped",
		start: "Start the simulated band",
		board: "Board",
		firmware: "Firmware",
		serial: "Serial number",
		pattern: "Drive pattern",
		readings: "Readings a frame",
		current: "Current (r.m.s.)",
		limit: "Limit",
		frequency: "Frequency",
		gain: "Gain",
		battery: "Battery",
		noBoard: "No board yet. Its name, current and frequency appear here once it answers.",
		startStream: "Start stream",
		stopStream: "Stop stream",
		settings: "Board settings",
		set: "Set",
		needCautions: "Read and acknowledge the cautions before connecting a real board.",
		readCautions: "Read the cautions",
	},
	cautions: {
		title: "Before you begin: cautions",
		acknowledge: "I have read and understood these cautions",
		later: "Not now",
		laterHint: "Until then you can look around with the simulated band, but not connect a real one.",
		done: "Acknowledged",
	},
	about: {
		title: "About and safety",
		what: "Tautline shows where in the thigh the electrical conductivity has changed since rest, live, and keeps every reading.",
		cannotTitle: "What it cannot tell",
		cannot: [
			"It shows change against a rest baseline, not the state of a muscle. A change can come from a contraction, from blood and fluid, from a change of shape, or from a band that slipped.",
			"Either sign can go with effort. The sign alone says nothing about how well a muscle works.",
			"It does not measure what a muscle can do, and it does not replace an examination.",
			"The edges in the picture are softer than the anatomy; the outlines come from an atlas fitted to the measured thigh, not from the person.",
		],
		cautions: "Cautions",
		version: "Version",
		dataFolder: "Records are kept in",
		latency: "From the last byte to the screen",
		latencyText: (median: string, worst: string, count: string) =>
			`half within ${median}, 99 in 100 within ${worst}, over the last ${count} pictures`,
		latencyNone: "not measured yet: open the live screen for a while",
		rule: "How the picture is made",
		pictureFacts: (prior: string, rule: string, lambda: string, noiseFigure: string) =>
			`${prior} prior, smoothing by ${rule}: λ = ${lambda}, noise figure ${noiseFigure}`,
		prior: "Prior",
		ruleLabel: "Smoothing chosen by",
		priors: { diagonal: "Diagonal-weighted, by muscle", laplace: "Laplace (smooth), by muscle" },
		rules: {
			"noise-figure": "Noise figure",
			gcv: "Generalised cross-validation",
			"l-curve": "L-curve",
		},
		keyboard: "Keys",
	},
	errors: {
		range: (low: number, high: number) => `Enter a number from ${low} to ${high}.`,
		whole: (low: number, high: number) => `Enter a whole number from ${low} to ${high}.`,
	},
	loading: "Loading …",
} as const;

export const scenarioWords: Record<ScenarioName, string> = {
	tour: "Tour: rest, quad sets, leg raises in turn",
	rest: "Rest",
	"quad-sets": "Quad sets, held for some seconds",
	"leg-raises": "Straight leg raises",
	fatigue: "Long holds with fatigue",
	slippage: "The band slips",
	"poor-contact": "Poor contact at some electrodes",
	"follow-coach": "Does what the coach asks",
};

export const transportWords: Record<PortInfo["transport"], string> = {
	usb: "USB",
	bluetooth: "Bluetooth",
	other: "Serial",
};

/** The link in words. */
export function linkWords(link: LinkState): string {
	switch (link.state) {
		case "idle":
			return "Not connected";
		case "opening":
			return `Opening ${link.label}`;
		case "waiting-for-board":
			return `Waiting for the board on ${link.label}`;
		case "streaming":
			return `Streaming from ${link.label}`;
		case "stopped":
			return `Connected to ${link.label}, stream stopped`;
		case "reconnecting":
			return `Lost ${link.label}, reconnecting (attempt ${link.attempt})`;
		case "failed":
			return `${link.label} failed`;
	}
}

const badLineWords: Record<string, string> = {
	"too-long": "longer than a line may be",
	"not-ascii": "bytes that are no text",
	"no-checksum": "without checksum",
	"bad-checksum": "wrong checksum",
	"unknown-type": "unknown record type",
	"bad-field": "malformed field",
	"out-of-range": "value out of range",
	"bad-payload": "unreadable readings",
	"wrong-count": "wrong number of readings",
	"unknown-configuration": "unknown configuration",
	repeated: "sent twice",
};

export function badLineText(cause: string): string {
	return badLineWords[cause] ?? cause;
}

/** Which electrodes are not well in contact, in words; worst first. */
export function contactWords(contacts: AppState["contacts"]): string {
	if (contacts.length === 0 || contacts.every((contact) => contact.verdict === "unknown")) {
		return words.contact.unknown;
	}
	const parts: string[] = [];
	for (const verdict of ["off", "poor", "fair"] as const) {
		const numbers = contacts.flatMap((contact, i) => (contact.verdict === verdict ? [String(i + 1)] : []));
		if (numbers.length > 0) parts.push(words.contact.list(words.contact[verdict], numbers.join(", ")));
	}
	if (parts.length === 0) return words.contact.allGood(contacts.length);
	const text = parts.join("; ");
	return `Electrodes ${text}`;
}

/** Contact in one line: which electrodes are not well, and half of the others' impedance. */
export function contactDetail(contacts: AppState["contacts"]): string {
	const known = contacts.flatMap(({ ohm }) => (ohm === null ? [] : [ohm])).sort((a, b) => a - b);
	const median = known[known.length >> 1];
	const typical =
		median === undefined
			? ""
			: `; median ${median >= 1000 ? formatQuantity(median / 1000, 1, "kΩ") : formatQuantity(median, 0, "Ω")}`;
	return `${contactWords(contacts)}${typical}`;
}

/** Below this the board's clock is as good as the computer's own: crystals differ by tens of ppm (common knowledge). */
const EXACT_PPM = 20;

export function clockWords(partsPerMillion: number | null): string {
	if (partsPerMillion === null) return words.quality.clockUnknown;
	const size = Math.abs(partsPerMillion);
	if (size < EXACT_PPM) return words.quality.clockExact;
	const text = formatQuantity(size, 0, "ppm");
	return partsPerMillion > 0 ? words.quality.clockFast(text) : words.quality.clockSlow(text);
}
