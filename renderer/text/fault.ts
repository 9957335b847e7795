import type { RequestFault } from "../bridge.ts";
import { electrodesText } from "./left-out-words.ts";
import { formatFrequency, formatQuantity } from "./quantity.ts";
import { volumeWords } from "./volume-words.ts";

/** What happened, and what to do about it: one short sentence each. */
export interface FaultWords {
	readonly what: string;
	readonly next: string;
}

export function faultWords(fault: RequestFault): FaultWords {
	switch (fault.kind) {
		case "invalid-argument":
			return {
				what: `A value was not accepted: ${fault.path} should be ${fault.expected}, but was ${fault.got}.`,
				next: "Correct it and try again.",
			};
		case "no-such-port":
			return {
				what: `There is no port ${fault.path} any more.`,
				next: "Plug the board in or switch it on, then refresh the list of ports.",
			};
		case "port-busy":
			return {
				what: `Another program is using ${fault.path}.`,
				next: "Close that program, then connect again.",
			};
		case "port-permission":
			return {
				what: `This account may not use ${fault.path}.`,
				next:
					fault.group === null
						? "Ask the administrator of this computer for access to serial ports."
						: `Have the administrator add this account to the group “${fault.group}”, then sign in again.`,
			};
		case "not-a-port":
			return {
				what: `${fault.path} is not a serial port.`,
				next: "Choose the port that the band is at.",
			};
		case "port-failed":
			return {
				what: `${fault.path} could not be used: ${fault.detail}.`,
				next: "Unplug the board, plug it in again and connect.",
			};
		case "not-our-protocol":
			return {
				what: `${fault.path} sends data, but not in the band’s protocol (${fault.bytesSeen} bytes seen).`,
				next: "Check that this is the band’s port and that the baud rate matches the board’s.",
			};
		case "no-data":
			return {
				what: `Nothing arrives from ${fault.path}.`,
				next: "Check that the board is switched on and charged, and that this is the right port.",
			};
		case "wrong-speed":
			return {
				what: `Bytes arrive from ${fault.path} (${fault.bytesSeen} so far), but no line.`,
				next:
					fault.likelyBaudRate === null
						? "Check the speed: choose the baud rate that the board is set to, then connect again."
						: `Check the speed: they look like ${fault.likelyBaudRate} baud. Choose it, then connect again.`,
			};
		case "too-disturbed":
			return {
				what: `The line ${fault.path} is too disturbed: ${fault.badLines} lines came damaged, ${fault.wholeLines} whole.`,
				next: "Use another or a shorter cable, or bring the band nearer to this computer.",
			};
		case "second-board":
			return {
				what: `Two bands talk on ${fault.path}: ${fault.first} and ${fault.second}. Nothing of either is used.`,
				next: "Switch one of them off. Then it goes on by itself.",
			};
		case "battery-empty":
			return {
				what: `The band’s battery is empty (${fault.percent} %).`,
				next: "Take the band off and charge it. Then it goes on by itself.",
			};
		case "computer-slept":
			return {
				what: `This computer slept for ${formatQuantity(fault.seconds, 0, "s")}. What the band measured meanwhile is missing.`,
				next: "It goes on by itself. Keep the computer from sleeping while you measure.",
			};
		case "not-connected":
			return { what: "No band is connected.", next: "Connect a band first." };
		case "board-refused":
			return {
				what: `The board refused “${fault.command}”: ${fault.reason}.`,
				next: "Choose another setting, or look it up in the board’s manual.",
			};
		case "board-silent":
			return {
				what: `The board did not answer “${fault.command}”.`,
				next: "Check the cable or the Bluetooth link, then try again.",
			};
		case "takes-no-commands":
			return {
				what: "A board that is read by a profile takes no commands.",
				next: "Set its current and gain at the board, and write them into its profile.",
			};
		case "profile-does-not-fit":
			return {
				what: `Lines come from ${fault.path}, but the profile “${fault.profile}” finds no frame in them.`,
				next: "Check the speed of the port, then look at the lines in the profile editor.",
			};
		case "over-current-limit":
			return {
				what: `The board reports ${formatQuantity(fault.reportedMilliamp, 2, "mA")} at ${formatFrequency(fault.frequencyHertz)}; the limit is ${formatQuantity(fault.limitMilliamp, 2, "mA")}. The stream was stopped.`,
				next: "Take the band off, lower the current at the board, then connect again.",
			};
		case "no-volume":
			return { what: `${volumeWords.impossible}.`, next: volumeWords.missing[fault.missing] };
		case "no-baseline":
			return {
				what: "There is no rest baseline yet.",
				next: "Let the muscles relax and take a rest baseline.",
			};
		case "band-off":
			return {
				what:
					fault.electrodes.length === 0
						? "Too many readings are at their limit: what the muscles do cannot be told."
						: `${electrodesText(fault.electrodes)} left out: with so many gone, what the muscles do cannot be told.`,
				next: "Check the band: press or wet these electrodes, then go on.",
			};
		case "baseline-not-steady":
			return {
				what: `The readings drifted by ${formatQuantity(fault.driftPercent, 1, "%")} during the rest.`,
				next: "Sit or lie still with the muscles relaxed and take the rest baseline again.",
			};
		case "cautions-not-acknowledged":
			return {
				what: "The cautions have not been acknowledged.",
				next: "Read and acknowledge them, then try again.",
			};
		case "already-recording":
			return { what: "A recording is already running.", next: "Stop it first, then try again." };
		case "not-recording":
			return { what: "No recording is running.", next: "Start one with Record." };
		case "no-such-record":
			return {
				what: `That ${recordWord(fault.what)} is no longer in the records.`,
				next: "Go back to the list and choose another.",
			};
		case "disk-full":
			return {
				what: `The disk is full; ${fault.path} cannot grow. Everything stored before is safe.`,
				next: "Free some space, then record again.",
			};
		case "store-read-only":
			return {
				what: `The records in ${fault.path} can be read but not changed.`,
				next: "Give this account the right to write there, then start the app again.",
			};
		case "store-corrupt":
			return {
				what:
					fault.keptAs === null
						? `The records in ${fault.path} are damaged. The file was left as it is.`
						: `The records in ${fault.path} were damaged. The file is kept as ${fault.keptAs}.`,
				next: "Keep that file, and put back the newest backup if you have one.",
			};
		case "store-newer":
			return {
				what: `The records in ${fault.path} were written by a newer version of Tautline (${fault.fileVersion}, this one reads up to ${fault.appVersion}). They were not touched.`,
				next: "Install the newer version.",
			};
		case "store-foreign":
			return {
				what: `${fault.path} is not a file of Tautline’s records. It was not touched.`,
				next: "Choose another file.",
			};
		case "store-missing":
			return { what: `There are no records at ${fault.path}.`, next: "Check the path." };
		case "store-busy":
			return {
				what: `Another program holds the records in ${fault.path}.`,
				next: "Close the other Tautline window or program, then try again.",
			};
		case "store-failed":
			return {
				what: `The records in ${fault.path} could not be used: ${fault.detail}.`,
				next: "Check the disk and the folder, then start the app again.",
			};
		case "bad-recording-file":
			return {
				what: `The file was not accepted: ${fault.path} should be ${fault.expected}, but was ${fault.got}.`,
				next: "Choose a recording file with a set-up, rest frames and frames.",
			};
		case "bad-person-file":
			return {
				what: `The file was not accepted: ${fault.path} should be ${fault.expected}, but was ${fault.got}.`,
				next: "Choose a person's file as this app writes it; nothing was stored.",
			};
		case "person-exists":
			return fault.isSameRecord
				? {
						what: `This person's record is here already, as ${fault.code}.`,
						next: "Delete it first if the file is to take its place.",
					}
				: {
						what: `Another person here has the code ${fault.code}.`,
						next: "Give that person another code, then read the file again.",
					};
		case "record-too-large":
			return {
				what: `This record makes ${fault.megabytes} MB, and a file may hold ${fault.limitMegabytes} MB.`,
				next: "Export its sessions one by one.",
			};
		case "locked":
			return { what: "This is locked at home.", next: "Leave home mode with the PIN first." };
		case "wrong-pin":
			return {
				what: "That is not the right PIN.",
				next:
					fault.waitSeconds > 0
						? `Wait ${Math.ceil(fault.waitSeconds)} s, then try again.`
						: "Try again. If nobody knows it any more, the guide says how to unlock.",
			};
		case "no-person":
			return { what: "It is not said whose thigh this is.", next: "Choose the person in Set-up first." };
		case "band-elsewhere":
			return {
				what: `The band is set up for somebody else or for the other leg; this is for the ${fault.side} leg.`,
				next: `Put the band on the ${fault.side} leg, and say that it is there.`,
			};
		case "limb-not-measured":
			return {
				what: `No ${fault.side === null ? "" : `${fault.side} `}thigh of this person has been measured.`,
				next: "Measure it and enter it in Set-up first.",
			};
		case "busy":
			return {
				what:
					fault.with === "reference"
						? "A reference contraction is under way."
						: "A set of an exercise is under way.",
				next: "End it first.",
			};
		case "records-in-use":
			return inUseWords[fault.by];
		case "records-changed":
			return {
				what: "Other records have been opened meanwhile, so this was not done.",
				next: "Look at what is shown now, then try again.",
			};
		case "demo-records":
			return {
				what: "The demo clinic is open, and nobody real is measured into it.",
				next: "Go back to your records, then connect the band.",
			};
		case "not-running":
			return {
				what:
					fault.what === "reference" ? "No reference contraction is under way." : "No exercise is under way.",
				next: "Start one first.",
			};
		case "exercise-over":
			return {
				what:
					fault.action === "stop-exercise"
						? "Because of your last answers this exercise is over for today."
						: "Because of your last answers the exercises are over.",
				next: "Follow the advice that you were given. Ask your clinician before you go on.",
			};
		case "set-unanswered":
			return {
				what: "The questions after a set of today have not been answered yet.",
				next: "Leave, begin again, and answer them first.",
			};
		case "reference-incomplete":
			return {
				what: `Too few frames came in around contraction ${fault.contraction}.`,
				next: "Check the link to the band, then take the reference again.",
			};
		case "cancelled":
			return { what: "That was called off.", next: "Start it again when you like." };
		case "connection-lost":
			return {
				what: "The page lost its connection to the app.",
				next: "It reconnects by itself; if not, start Tautline again.",
			};
		case "internal":
			return {
				what: `Something went wrong inside the app: ${fault.detail}.`,
				next: "Try again; if it stays, start Tautline again. Stored records are not affected.",
			};
	}
}

const inUseWords: Record<Extract<RequestFault, { kind: "records-in-use" }>["by"], FaultWords> = {
	recording: {
		what: "A recording is running, so these records stay open.",
		next: "Stop the recording first.",
	},
	exercise: {
		what: "The exercises have not been left yet, so these records stay open.",
		next: "Finish or leave the exercises first.",
	},
	file: {
		what: "A file is being read or written, so these records stay open.",
		next: "Wait until that is done.",
	},
};

function recordWord(what: Extract<RequestFault, { kind: "no-such-record" }>["what"]): string {
	return what === "session" ? "recording" : what;
}
