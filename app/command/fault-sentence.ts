import type { Fault, VolumeGap } from "../contract.ts";

const volumeGaps = {
	limb: "it is of no limb that is known here",
	bands: "not all bands of the board were there",
	places: "where its bands sat was not kept with it; enter their places in the set-up before you record",
	rest: "a band has no rest baseline; take one before you record, or while you do",
} as const satisfies Record<VolumeGap, string>;

/** One sentence for the command line: what is wrong, and what to do. */
export function faultSentence(fault: Fault): string {
	switch (fault.kind) {
		case "invalid-argument":
			return `${fault.path}: expected ${fault.expected}, got ${fault.got}.`;
		case "no-such-port":
			return `There is no port ${fault.path}: check the cable or the pairing, and the name.`;
		case "port-busy":
			return `Another program holds ${fault.path}: close it, then try again.`;
		case "port-permission":
			return fault.group === null
				? `You are not allowed to open ${fault.path}: ask whoever runs this machine.`
				: `You are not allowed to open ${fault.path}: join the group ${fault.group}, log in again, and retry.`;
		case "not-a-port":
			return `${fault.path} is not a serial port: name the one that the board is at.`;
		case "port-failed":
			return `The port ${fault.path} failed (${fault.detail}): unplug and plug the board, then try again.`;
		case "not-our-protocol":
			return `What answers on ${fault.path} does not speak our protocol (${fault.bytesSeen} bytes seen): check that it is the band's board and that the baud rate is right.`;
		case "no-data":
			return `Nothing arrives on ${fault.path}: switch the board on and check the baud rate.`;
		case "wrong-speed":
			return fault.likelyBaudRate === null
				? `Bytes arrive on ${fault.path} (${fault.bytesSeen} so far) but no line: check the speed, --baud must be the board's.`
				: `Bytes arrive on ${fault.path} (${fault.bytesSeen} so far) but no line: check the speed, they look like --baud ${fault.likelyBaudRate}.`;
		case "too-disturbed":
			return `The line ${fault.path} is too disturbed (${fault.badLines} damaged lines, ${fault.wholeLines} whole): shorten or change the cable, or bring the band nearer.`;
		case "second-board":
			return `Two boards (${fault.first} and ${fault.second}) talk on ${fault.path}: leave only one of them switched on; then it goes on by itself.`;
		case "battery-empty":
			return `The battery of the band is empty (${fault.percent} %): take the band off and charge it; then it goes on by itself.`;
		case "computer-slept":
			return `This computer stood still for ${Math.round(fault.seconds)} s: what the band measured meanwhile is missing. Keep it from sleeping.`;
		case "not-connected":
			return "No board is connected: connect one first.";
		case "board-refused":
			return `The board refused '${fault.command}': ${fault.reason}.`;
		case "board-silent":
			return `The board did not answer '${fault.command}': switch it off and on, then try again.`;
		case "takes-no-commands":
			return `A board that is read by a profile takes no commands, and so no '${fault.command}': set it at the board.`;
		case "profile-does-not-fit":
			return `Lines come from ${fault.path}, but the profile '${fault.profile}' finds no frame in them: check the baud rate and the profile.`;
		case "over-current-limit":
			return `The board reports ${fault.reportedMilliamp} mA at ${fault.frequencyHertz} Hz and the limit is ${fault.limitMilliamp} mA: take the band off and have the board's current set lower.`;
		case "no-volume":
			return `That session has no volume: ${volumeGaps[fault.missing]}.`;
		case "no-baseline":
			return "There is no rest baseline yet: keep still until it has been taken.";
		case "band-off":
			return `Too many readings are left out${fault.electrodes.length === 0 ? "" : ` (electrodes ${fault.electrodes.join(",")})`}: press or wet the electrodes, then try again.`;
		case "baseline-not-steady":
			return `The rest baseline drifted by ${fault.driftPercent.toFixed(1)} %: keep still, check the electrodes, and try again.`;
		case "cautions-not-acknowledged":
			return "The cautions have not been acknowledged: read and confirm them in the app first.";
		case "already-recording":
			return "A recording is already running: stop it first.";
		case "not-recording":
			return "Nothing is being recorded: start a recording first.";
		case "no-such-record":
			return `There is no ${fault.what} ${fault.id}: look up the number first.`;
		case "disk-full":
			return `The disk of ${fault.path} is full: free some space and try again; what was stored before is intact.`;
		case "store-read-only":
			return `${fault.path} cannot be written: make it and its folder writable, or choose another file.`;
		case "store-corrupt":
			return fault.keptAs === null
				? `${fault.path} is damaged and was left as it is: restore it from a backup, or choose another file.`
				: `${fault.path} was damaged and is now kept as ${fault.keptAs}: restore it from a backup, or go on with a new file.`;
		case "store-newer":
			return `${fault.path} was written by a newer Tautline (format ${fault.fileVersion}, this one reads up to ${fault.appVersion}) and was left as it is: update Tautline.`;
		case "store-foreign":
			return `${fault.path} is not a file of Tautline's records and was left as it is: check the path.`;
		case "store-missing":
			return `There is no file ${fault.path}: check the path.`;
		case "store-busy":
			return `Another program is writing to ${fault.path}: wait until it has finished, or close it.`;
		case "store-failed":
			return `${fault.path} cannot be used (${fault.detail}): check the disk, or choose another file.`;
		case "bad-recording-file":
			return `${fault.path}: expected ${fault.expected}, got ${fault.got}.`;
		case "locked":
			return "The app is in home mode: leave it first.";
		case "wrong-pin":
			return `The PIN is wrong: try again in ${fault.waitSeconds} s, or look up in the guide how to unlock.`;
		case "no-person":
			return "The set-up names no person: choose one first.";
		case "band-elsewhere":
			return `The set-up is not for the ${fault.side} leg of person ${fault.personId}: change it first.`;
		case "limb-not-measured":
			return `No ${fault.side === null ? "" : `${fault.side} `}thigh of person ${fault.personId} was measured: do it in the set-up first.`;
		case "busy":
			return `Something is under way (${fault.with}): end it first.`;
		case "records-in-use":
			return `These records are in use (${fault.by}): end that first.`;
		case "records-changed":
			return "Other records have been opened meanwhile: look at them, then try again.";
		case "demo-records":
			return "The demo clinic holds invented people only: open your own records to connect a real band.";
		case "not-running":
			return `There is no ${fault.what} under way: start one first.`;
		case "exercise-over":
			return `Exercise has to stop after the last answers (${fault.action}): follow the advice on the screen.`;
		case "set-unanswered":
			return `The questions after a set of today (${fault.setId}) are not answered yet: answer them first.`;
		case "reference-incomplete":
			return `Too few frames (${fault.frames}) came around contraction ${fault.contraction}: check the link and take the reference again.`;
		case "bad-person-file":
			return `${fault.path}: expected ${fault.expected}, got ${fault.got}.`;
		case "person-exists":
			return fault.isSameRecord
				? `This person's record is here already, as ${fault.code}: delete it first if the file is to take its place.`
				: `Another person here has the code ${fault.code}: give that person another code, then read the file again.`;
		case "record-too-large":
			return `This person's record makes ${fault.megabytes} MB, and a file may hold ${fault.limitMegabytes} MB: export its sessions one by one.`;
		case "cancelled":
			return "Stopped before it was done.";
		case "internal":
			return `A mistake of this program, not yours (${fault.detail}): please report it.`;
	}
}
