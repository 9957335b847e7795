/** What is said about boards that print numbers in their own way. */
import { type InvalidInput, sentenceOf } from "../../core/invalid-input.ts";
import type { BadLineCause } from "../../core/wire/bad-line.ts";
import { longestLine } from "../../core/wire/limits.ts";
import type { BoardProfile, Column } from "../../core/wire/profile/board-profile.ts";
import { patternOf } from "../../core/wire/profile/board-profile.ts";
import type { RefusedLine } from "../../core/wire/profile/profile-trial.ts";
import type { CutKind, Role, Separator, TimeUnit, ValueUnit } from "../profile-draft.ts";
import { formatCount } from "./quantity.ts";

export const profileErrors = {
	whole: (low: number, high: number) => `Enter a whole number from ${low} to ${high}.`,
	range: (low: number, high: number) => `Enter a number from ${low} to ${high}.`,
	name: "Give the profile a name.",
	current: "Enter the current that the board’s maker states.",
	frequency: "Enter the frequency that the board’s maker states.",
	ranges: "Say where the columns are, such as 1-4 5-10 11-16.",
	rangesText: "Write places such as 1-4 5-10, or widths such as 4 6 6 or 16x6.",
	frameBegin: "Say which field numbers the lines, or what stands in front of each frame.",
	rows: "Choose a file with the order of the readings.",
	volts: "Enter the volts of one count, such as 0.0000625 or 6.25e-5.",
	noPairs: "A ring of so many electrodes has no such pairs: change one of them.",
	linesDivide: (needed: number) => `${needed} readings cannot be spread evenly over so many lines.`,
	counts: (needed: number, found: number) =>
		`The pattern needs ${formatCount(needed)} readings a frame, and ${formatCount(found)} are marked.`,
	invalid: (why: InvalidInput) => `The profile is not right yet: ${sentenceOf(why)}.`,
} as const;

export const profileWords = {
	title: "Board profile",
	newTitle: "New board profile",
	loading: "Loading the profile …",
	missing: (name: string) => `There is no profile “${name}”`,
	missingText: "It may have been deleted or renamed.",
	back: "Connect",
	lead: "Tell how your board writes its lines: paste some, and correct what was guessed.",
	steps: {
		lines: "Lines of the board",
		fields: "What the lines hold",
		pattern: "Electrodes and pattern",
		value: "Units and drive",
		trial: "Test",
		save: "Name",
	},
	undo: "Undo",
	undoHint: "Undo the last change (Ctrl+Z)",

	sample: "Sample of lines",
	sampleHint: "Paste a few seconds of what the board prints, headings included.",
	openLog: "Open a log file …",
	capture: "Capture 3 s from the port",
	capturing: (seconds: number) => `Listening … ${seconds.toFixed(1)} s`,
	cancel: "Cancel",
	noPort: "No port chosen",
	port: "Port",
	baud: "Speed, baud",
	refresh: "Look for ports again",
	portsFailed: "The ports could not be listed.",
	cutOff: (characters: number) =>
		`Only the first ${formatCount(characters)} characters are kept: that is enough to see how the lines are written.`,
	notText: "This file holds no lines of text. Choose a log as the board printed it.",
	fileFailed: (name: string) => `${name} could not be read. Check that it is still there.`,
	captured: (count: number) => `${formatCount(count)} bytes came.`,
	emptySample: "No lines yet. Paste some, open a log or capture from a port; what they hold is guessed then.",

	cut: "Lines are",
	cuts: {
		separated: "separated values",
		keyed: "keys and values",
		"fixed-columns": "fixed columns",
	} satisfies Record<CutKind, string>,
	separator: "Between fields",
	separators: {
		",": "comma ,",
		";": "semicolon ;",
		"\t": "tab",
		" ": "blanks",
		"|": "bar |",
		":": "colon :",
		"/": "slash /",
	} satisfies Record<Separator, string>,
	assign: "Between key and value",
	decimalMark: "Decimal mark",
	decimalPoint: "point 1.5",
	decimalComma: "comma 1,5",
	noDecimalComma: "A comma parts the fields already.",
	columns: "Columns",
	columnsHint: "Places such as 1-4 5-10, or widths such as 4 6 6 or 16x6.",
	ruler: "Cut the line: click between characters, drag a border to move it",
	prefix: "Lines to read begin with",
	prefixHint: "Empty for every line. It is cut off.",
	comments: "Lines to skip begin with",
	commentsHint: "One beginning a line.",
	more: "Time, counter, skipped lines, several lines a frame",
	lines: "Lines that make a frame",
	mark: "A line in front of each frame begins with",
	firstRow: "Number of a frame’s first line",
	modulus: "The frame counter begins again at",
	timeUnit: "Time is in",
	timeUnits: { s: "seconds", ms: "milliseconds", µs: "microseconds" } satisfies Record<TimeUnit, string>,

	seenLines: "First lines, as they are read",
	skipped: "skipped",
	moreFields: (count: number) => `… ${formatCount(count)} more`,
	fieldTable: "Fields of a line",
	field: "Field",
	heading: "Name",
	role: "Holds",
	samples: "In the first lines",
	roles: {
		reading: "reading",
		payload: "base64 bytes",
		counter: "frame counter",
		time: "time",
		row: "line number",
		none: "not used",
	} satisfies Record<Role, string>,
	roleOf: (column: string) => `What field ${column} holds`,
	readingNumber: (number: number) => `reading ${number}`,
	runFrom: "Readings from field",
	runTo: "to field",
	setRun: "Mark as readings",
	page: (from: number, to: number, total: number) => `Fields ${from} to ${to} of ${total}`,
	nextPage: "Next fields",
	previousPage: "Fields before",
	summary: (parts: readonly string[]) => parts.join(" · "),
	readingCount: (count: number) => (count === 1 ? "1 reading" : `${formatCount(count)} readings`),
	noTime: "no time: the time of arrival is taken",
	noCounter: "no frame counter: lost frames go unseen",
	number: "Numbers in the bytes",
	byteOrder: "Byte order",
	byteOrders: { "little-endian": "low byte first", "big-endian": "high byte first" },
	prefixBytes: "Length in front",
	prefixBytesText: (bytes: number) => (bytes === 0 ? "none" : bytes === 1 ? "1 byte" : `${bytes} bytes`),
	prefixCounts: "The length counts",
	prefixCountsText: { bytes: "bytes", numbers: "numbers" },

	electrodes: "Electrodes",
	patternKind: "Order of the readings",
	patternKinds: { named: "A usual pattern", listed: "From a file" },
	terminals: "Each reading",
	terminalKinds: {
		"four-terminal": "four electrodes: two drive, two read",
		"two-terminal": "two electrodes drive and read",
	},
	drive: "Driven pairs",
	driveName: (rule: string) =>
		rule === "adjacent"
			? "adjacent"
			: rule === "opposite"
				? "opposite"
				: `${rule.slice(5)} electrode${rule === "skip-1" ? "" : "s"} between (${rule})`,
	needs: (needed: number, found: number) =>
		`The pattern needs ${formatCount(needed)} readings a frame; the lines have ${formatCount(found)}.`,
	needsOnly: (needed: number) => `The pattern needs ${formatCount(needed)} readings a frame.`,
	fits: (count: number) => `Patterns with ${formatCount(count)} readings:`,
	noFit: (count: number) =>
		`No usual pattern has ${formatCount(count)} readings. Check which fields are readings, or read the order from a file.`,
	patternChoice: (electrodes: number, drive: string, isTwo: boolean) =>
		isTwo ? `${electrodes} electrodes, two-terminal` : `${electrodes} electrodes, four-terminal, ${drive}`,
	openPattern: "Open a pattern file …",
	patternHint:
		"A line for each reading: source, sink, plus and minus electrode; or two electrodes that both drive and read.",
	patternRead: (fileName: string, rows: number, countsFrom: 0 | 1) =>
		`${fileName}: ${formatCount(rows)} readings, electrodes counted from ${countsFrom}.`,
	patternStored: (rows: number) => `${formatCount(rows)} readings in an order of their own.`,
	patternFault: (fileName: string, why: InvalidInput) => `${fileName} was not taken: ${sentenceOf(why)}.`,
	firstRows: "First readings",
	rowText: (row: readonly number[]) => {
		const [source, sink, plus, minus] = row.map((electrode) => electrode + 1);
		return `${source}→${sink} read at ${plus}, ${minus}`;
	},

	unit: "Readings are in",
	units: {
		V: "volts (V)",
		mV: "millivolts (mV)",
		µV: "microvolts (µV)",
		Ω: "ohms (Ω)",
		kΩ: "kilohms (kΩ)",
		count: "counts of a converter",
	} satisfies Record<ValueUnit, string>,
	voltsPerCount: "Volts of one count",
	voltsHint: "At the electrodes: gain divided out.",
	fullScale: "Largest size before clipping",
	fullScaleHint: "0 when it is not known.",
	sign: "Sign",
	signs: { signed: "as written", magnitude: "sizes only" },
	signHint: "With sizes only, each reading gets the sign that it has on a uniform disc.",
	current: "Current, r.m.s.",
	frequency: "Frequency",
	driveCaution:
		"A board of this kind does not report what it drives, so Tautline cannot see a wrong current. Enter what its maker states, and measure it before the band goes on anybody.",
	limit: (limit: string, frequency: string) => `Limit at ${frequency}: ${limit} r.m.s.`,
	overLimit: (limit: string) =>
		`This is over the limit of ${limit}. The profile can be kept, but no board is connected with it.`,

	trialSample: "With the lines above",
	trialLive: "With the port",
	runLive: "Listen for 3 s",
	noTrial: "The test begins once the steps above are complete.",
	noLines: "There are no lines to test with.",
	frames: "Frames",
	framesOf: (frames: number, lines: number) => `${formatCount(frames)} in ${formatCount(lines)} lines`,
	rate: "Frames a second",
	rateByClock: (rate: string) => `${rate} by the board’s clock`,
	rateByArrival: (rate: string) => `${rate} as they came`,
	rateUnknown: "not told by these lines",
	sequence: "Frame counter",
	sequenceGood: "no frame is missing",
	sequenceLost: (lost: number) =>
		lost === 1 ? "1 frame is missing" : `${formatCount(lost)} frames are missing`,
	sequenceNone: "none: lost frames go unseen",
	time: "Time",
	timeGood: "steps are even",
	timeUneven: (percent: number) => `${percent} % of the steps are uneven: check the field and its unit`,
	timeStands: "it does not go forward: check the field and its unit",
	timeNone: "none: the time of arrival is taken",
	refused: "Refused lines",
	refusedNone: "none",
	refusedCount: (count: number, cause: string) => `${formatCount(count)} × ${cause}`,
	firstRefused: (number: number) => `Line ${number} is the first that is refused`,
	firstValues: "First frame",
	valuesShown: (shown: number, total: number) => `${shown} of ${formatCount(total)}`,
	plot: "Mean frame beside a uniform disc",
	plotText: (agreement: string) =>
		`Mean frame as dots, a uniform disc with the same pattern as a line, over the readings in order. Agreement ${agreement}.`,
	plotSource:
		"Disc: point electrodes on the rim, in closed form (Isaacson, IEEE Trans. Med. Imaging 5:91, 1986). Both are scaled to the same spread.",
	plotKeyBoard: "Board",
	plotKeyDisc: "Disc",
	agreementGood: (agreement: string) => `Agreement ${agreement}: the order looks right.`,
	agreementTurned: (agreement: string) =>
		`Agreement ${agreement}: all signs are turned round. That does no harm to pictures of change.`,
	agreementPoor: (agreement: string) =>
		`Agreement ${agreement}: order or sign may be wrong. On a limb or in a tank it should be 0.85 or more; free electrodes tell nothing.`,
	agreementSizes: "Read as sizes only, it agrees. Choose “sizes only” for the sign.",
	agreementOther: (pattern: string) => `It agrees with another pattern: ${pattern}.`,
	agreementNone: "All readings are alike, so their order cannot be checked.",

	name: "Name of the profile",
	note: "Note",
	noteHint: "The board, its firmware, where its manual lies.",
	save: "Save profile",
	saved: "Saved.",
	replaces: "A profile of yours has this name and will be replaced.",
	shippedName: "A profile of the program has this name: choose another.",
	fixFirst: "Some steps are not complete:",
	complete: "Everything is there.",
	unsaved: "Not saved yet",
	useNow: "Connect with it",

	leaveTitle: "Leave without saving?",
	leaveText: "The changes to this profile are not saved.",
	leaveSave: "Save and leave",
	leave: "Leave without saving",
	stay: "Stay here",
} as const;

export const otherBoardWords = {
	title: "Other boards",
	text: "A board that prints numbers in its own way is read by a profile, which tells how its lines are written.",
	loading: "Loading the profiles …",
	own: "Yours",
	shipped: "From the program",
	create: "New profile",
	import: "Import profile …",
	connectTitle: "Connect a board",
	playTitle: "Play a recorded log",
	playText: "A text file as the board printed it, played as if the board were connected.",
	play: "Choose a log file …",
	rate: "Frames a second",
	rateHint: "This profile tells no time.",
	edit: "Edit",
	copy: "Copy",
	export: "Export as JSON",
	delete: "Delete",
	deleted: (name: string) => `“${name}” was deleted.`,
	undo: "Undo",
	imported: (name: string) => `“${name}” was imported.`,
	importedAs: (name: string) => `The name was taken: it was imported as “${name}”.`,
	tooLarge: (megabytes: number) => `This file is larger than ${megabytes} MB. Choose another.`,
	unreadable: (name: string) => `${name} could not be read. Check that it is still there.`,
	notJson: (detail: string) => `This file is no JSON (${detail}). Choose a profile as it was exported.`,
	notProfile: ({ path, expected, got }: InvalidInput) =>
		`The file was not taken: ${path === "" ? "it" : path} should be ${expected}, but is ${got}. Nothing was stored.`,
	noPorts: "No ports found: plug the board in, or pair it over Bluetooth first.",
	connect: "Connect",
	facts: (profile: BoardProfile) => {
		const { electrodeCount, pattern, baudRate, frame } = profile;
		const kind = pattern.kind === "named" ? pattern.terminals : "an order of its own";
		const readings = patternOf(profile).terminals.length / 4;
		const lines = frame.lines === 1 ? "" : ` in ${frame.lines} lines`;
		return `${electrodeCount} electrodes, ${kind}, ${formatCount(readings)} readings${lines}, ${formatCount(baudRate)} baud`;
	},
	drive: (current: string, frequency: string) => `${current} r.m.s. at ${frequency} as its maker states`,
	assumed: (current: string, frequency: string) =>
		`${current} r.m.s. at ${frequency} is assumed: copy the profile to enter what your board drives.`,
	stated: "Such a board does not report its current: check what it drives before the band goes on anybody.",
	asStated: "as the profile states",
	playing: "The log is playing.",
	watch: "Watch it live",
} as const;

const causeWords: Record<BadLineCause, string> = {
	"too-long": "too long",
	"not-ascii": "no text",
	"no-checksum": "without checksum",
	"bad-checksum": "wrong checksum",
	"unknown-type": "other beginning",
	"bad-field": "time or counter is no number",
	"out-of-range": "counter out of range",
	"bad-payload": "a reading is no number",
	"wrong-count": "wrong number of fields",
	"unknown-configuration": "unknown configuration",
	repeated: "frame counter repeated",
};

export function refusedWords(cause: BadLineCause): string {
	return causeWords[cause];
}

/** Why one line was refused, as exactly as is known. */
export function whyRefused({ cause, fieldCount, field }: RefusedLine, profile: BoardProfile): string {
	switch (cause) {
		case "too-long":
			return `It is longer than ${formatCount(longestLine)} bytes.`;
		case "unknown-type":
			return `It does not begin with “${profile.prefix}”.`;
		case "repeated":
			return "Its frame counter is that of the line before.";
		case "out-of-range":
			return "Its frame counter or line number is outside of what the profile allows.";
		default:
	}
	if (field === null) {
		return profile.readings.kind === "base64"
			? "Its base64 bytes are not as long, or not written, as the profile says."
			: "Lines of its frame are missing.";
	}
	const name = columnName(field.column);
	return field.text === null
		? `It has ${formatCount(fieldCount ?? 0)} fields, and field ${name} is needed.`
		: `Field ${name} holds “${field.text.slice(0, 40)}”, which is no number.`;
}

/** Counted from 1 for people. */
export function columnName(column: Column): string {
	return typeof column === "number" ? String(column + 1) : column;
}
