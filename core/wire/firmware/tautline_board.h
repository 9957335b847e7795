/* The board's side of the line protocol (../PROTOCOL.md) in one header: writes every line a board says, reads every
 * line a host says. C99 (and C++), no allocation, no library beyond the freestanding headers, no global state.
 *
 *   static void put(void *port, const char *bytes, size_t count) { uart_write(port, bytes, count); }
 *
 *   tautline_out out = { put, &uart1, 0 };
 *   tautline_frame_i24(&out, 0, 7, sequence++, micros(), readings, 208);
 *
 *   tautline_in in = { { 0 }, 0, 0 };
 *   tautline_command command;
 *   while (uart_read(&uart1, &byte))
 *       switch (tautline_read_byte(&in, byte, &command)) {
 *       case TAUTLINE_COMMAND: obey(&command); tautline_acknowledge(&out, command.id); break;
 *       case TAUTLINE_REFUSE:  tautline_refuse(&out, command.id, command.refusal); break;
 *       case TAUTLINE_NOTHING: break;
 *       }
 *
 * Lines are handed to `put` in pieces, so no buffer as long as a line is needed. Safety is the board's duty: section 5
 * of the protocol. In particular stop the drive when no whole line has come for 10 s (`in.whole_lines` counts them), and
 * limit the current in hardware.
 *
 * MIT licence, as the rest of Tautline. */
#ifndef TAUTLINE_BOARD_H
#define TAUTLINE_BOARD_H

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define TAUTLINE_PROTOCOL_VERSION 1
#define TAUTLINE_ALL_BANDS (-1)
#define TAUTLINE_UNKNOWN_BATTERY (-1)
#define TAUTLINE_UNKNOWN_CONTACT UINT32_MAX

/* ---- Checksum: CRC-16/CCITT-FALSE, polynomial 0x1021, start 0xFFFF, check value of "123456789" 0x29B1 ---------- */

static inline uint16_t tautline_crc(uint16_t crc, uint8_t byte)
{
	int bit;
	crc = (uint16_t)(crc ^ (uint16_t)((uint16_t)byte << 8));
	for (bit = 0; bit < 8; bit++) {
		uint16_t carry = (crc & 0x8000u) != 0 ? 0x1021u : 0u;
		crc = (uint16_t)((uint16_t)(crc << 1) ^ carry);
	}
	return crc;
}

/* ---- Writing a line ------------------------------------------------------------------------------------------- */

/* `put` takes bytes in order and keeps no pointer to them. */
typedef struct {
	void (*put)(void *to, const char *bytes, size_t count);
	void *to;
	uint16_t crc;
} tautline_out;

static inline void tautline_put_bytes(tautline_out *out, const char *bytes, size_t count)
{
	size_t i;
	for (i = 0; i < count; i++) out->crc = tautline_crc(out->crc, (uint8_t)bytes[i]);
	out->put(out->to, bytes, count);
}

static inline void tautline_put_text(tautline_out *out, const char *text)
{
	size_t count = 0;
	while (text[count] != '\0') count++;
	tautline_put_bytes(out, text, count);
}

static inline void tautline_begin(tautline_out *out, char type)
{
	out->crc = 0xFFFFu;
	tautline_put_bytes(out, &type, 1);
}

static inline void tautline_end(tautline_out *out)
{
	static const char digits[] = "0123456789ABCDEF";
	char tail[6];
	uint16_t crc = out->crc;
	tail[0] = '~';
	tail[1] = digits[(crc >> 12) & 15u];
	tail[2] = digits[(crc >> 8) & 15u];
	tail[3] = digits[(crc >> 4) & 15u];
	tail[4] = digits[crc & 15u];
	tail[5] = '\n';
	out->put(out->to, tail, sizeof tail);
}

static inline void tautline_put_whole(tautline_out *out, uint32_t value)
{
	char text[10];
	size_t at = sizeof text;
	do {
		text[--at] = (char)('0' + (int)(value % 10u));
		value /= 10u;
	} while (value != 0);
	tautline_put_bytes(out, text + at, sizeof text - at);
}

static inline void tautline_field_whole(tautline_out *out, uint32_t value)
{
	tautline_put_bytes(out, " ", 1);
	tautline_put_whole(out, value);
}

/* A word (1 to 32 of A-Z a-z 0-9 . _ -) or a real, written as in JSON: "0.5", "1.90735e-9". */
static inline void tautline_field_text(tautline_out *out, const char *text)
{
	tautline_put_bytes(out, " ", 1);
	tautline_put_text(out, text);
}

/* ---- What the board is and does ------------------------------------------------------------------------------- */

/* H. `boot_number` differs after every start. `is_simulated` must be true of a board that invents its readings. */
static inline void tautline_hello(tautline_out *out, uint32_t boot_number, uint32_t time_micros, uint32_t band_count,
	int is_simulated, const char *board, const char *firmware, const char *serial)
{
	tautline_begin(out, 'H');
	tautline_field_whole(out, TAUTLINE_PROTOCOL_VERSION);
	tautline_field_whole(out, boot_number);
	tautline_field_whole(out, time_micros);
	tautline_field_whole(out, band_count);
	tautline_field_text(out, is_simulated ? "simulated" : "real");
	tautline_field_text(out, board);
	tautline_field_text(out, firmware);
	tautline_field_text(out, serial);
	tautline_end(out);
}

/* B. Currents in microampere r.m.s., frequencies in hertz, gains as text. */
static inline void tautline_ability(tautline_out *out, uint32_t band, uint32_t electrodes, uint32_t least_microamp,
	uint32_t most_microamp, uint32_t least_hertz, uint32_t most_hertz, const char *least_gain, const char *most_gain)
{
	tautline_begin(out, 'B');
	tautline_field_whole(out, band);
	tautline_field_whole(out, electrodes);
	tautline_field_whole(out, least_microamp);
	tautline_field_whole(out, most_microamp);
	tautline_field_whole(out, least_hertz);
	tautline_field_whole(out, most_hertz);
	tautline_field_text(out, least_gain);
	tautline_field_text(out, most_gain);
	tautline_end(out);
}

/* What is in force, not what was asked for. `drive`: "adjacent", "skip-N", "opposite" or "listed" (then the readings
 * follow with `tautline_list` or, with electrodes of other bands, `tautline_list_across`). `terminals`: 4 or 2. */
typedef struct {
	uint16_t number;
	uint8_t band;
	uint8_t electrodes;
	const char *drive;
	uint8_t terminals;
	uint16_t readings;
	uint32_t microamp;
	uint32_t hertz;
	const char *gain;
	const char *volts_per_unit;
	const char *full_scale;
} tautline_configuration;

/* C */
static inline void tautline_configure(tautline_out *out, const tautline_configuration *c)
{
	tautline_begin(out, 'C');
	tautline_field_whole(out, c->number);
	tautline_field_whole(out, c->band);
	tautline_field_whole(out, c->electrodes);
	tautline_field_text(out, c->drive);
	tautline_field_whole(out, c->terminals);
	tautline_field_whole(out, c->readings);
	tautline_field_whole(out, c->microamp);
	tautline_field_whole(out, c->hertz);
	tautline_field_text(out, c->gain);
	tautline_field_text(out, c->volts_per_unit);
	tautline_field_text(out, c->full_scale);
	tautline_end(out);
}

/* R, with electrodes of several bands: `bands[4 * count]` tells of each of `terminals` whose it is. */
static inline void tautline_list_across(tautline_out *out, uint16_t number, uint8_t band, uint16_t first_reading,
	const uint8_t *bands, const uint8_t *terminals, size_t count)
{
	size_t i;
	tautline_begin(out, 'R');
	tautline_field_whole(out, number);
	tautline_field_whole(out, band);
	tautline_field_whole(out, first_reading);
	tautline_put_bytes(out, " ", 1);
	for (i = 0; i < 4 * count; i++) {
		if (i > 0) tautline_put_bytes(out, ",", 1);
		if (bands != NULL && bands[i] != band) {
			tautline_put_whole(out, bands[i]);
			tautline_put_bytes(out, ":", 1);
		}
		tautline_put_whole(out, terminals[i]);
	}
	tautline_end(out);
}

/* R. `terminals[4 * count]`: source, sink, plus, minus of each reading from `first_reading` on, all of this band. */
static inline void tautline_list(tautline_out *out, uint16_t number, uint8_t band, uint16_t first_reading,
	const uint8_t *terminals, size_t count)
{
	tautline_list_across(out, number, band, first_reading, NULL, terminals, count);
}

typedef enum { TAUTLINE_RUNNING, TAUTLINE_STOPPED, TAUTLINE_CHARGING, TAUTLINE_TRIPPED } tautline_activity;

/* S, at least once a second for every band. `battery_percent`: 0 to 100 or TAUTLINE_UNKNOWN_BATTERY. */
static inline void tautline_status(tautline_out *out, uint8_t band, uint32_t time_micros, tautline_activity activity,
	int battery_percent)
{
	static const char *const names[] = { "running", "stopped", "charging", "tripped" };
	tautline_begin(out, 'S');
	tautline_field_whole(out, band);
	tautline_field_whole(out, time_micros);
	tautline_field_text(out, names[activity]);
	if (battery_percent < 0) {
		tautline_field_text(out, "-");
	} else {
		tautline_field_whole(out, (uint32_t)battery_percent);
	}
	tautline_end(out);
}

/* Z. `ohm[electrodes]`, TAUTLINE_UNKNOWN_CONTACT where unreadable. */
static inline void tautline_contacts(tautline_out *out, uint8_t band, uint32_t time_micros, const uint32_t *ohm,
	size_t electrodes)
{
	size_t i;
	tautline_begin(out, 'Z');
	tautline_field_whole(out, band);
	tautline_field_whole(out, time_micros);
	tautline_put_bytes(out, " ", 1);
	for (i = 0; i < electrodes; i++) {
		if (i > 0) tautline_put_bytes(out, ",", 1);
		if (ohm[i] == TAUTLINE_UNKNOWN_CONTACT) {
			tautline_put_bytes(out, "-", 1);
		} else {
			tautline_put_whole(out, ohm[i]);
		}
	}
	tautline_end(out);
}

/* ---- Frames --------------------------------------------------------------------------------------------------- */

static inline void tautline_begin_frame(tautline_out *out, uint8_t band, uint16_t number, uint32_t sequence,
	uint32_t time_micros, const char *encoding)
{
	tautline_begin(out, 'F');
	tautline_field_whole(out, band);
	tautline_field_whole(out, number);
	tautline_field_whole(out, sequence);
	tautline_field_whole(out, time_micros);
	tautline_field_text(out, encoding);
	tautline_put_bytes(out, " ", 1);
}

/* Base64 of RFC 4648, section 4, byte by byte. */
typedef struct {
	uint32_t held;
	int count;
} tautline_base64;

static inline void tautline_put_group(tautline_out *out, const tautline_base64 *group)
{
	static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
	uint32_t bits = group->held << (8 * (3 - group->count));
	char text[4];
	text[0] = letters[(bits >> 18) & 63u];
	text[1] = letters[(bits >> 12) & 63u];
	text[2] = group->count > 1 ? letters[(bits >> 6) & 63u] : '=';
	text[3] = group->count > 2 ? letters[bits & 63u] : '=';
	tautline_put_bytes(out, text, sizeof text);
}

static inline void tautline_put_base64(tautline_out *out, tautline_base64 *group, uint8_t byte)
{
	group->held = (group->held << 8) | byte;
	if (++group->count < 3) return;
	tautline_put_group(out, group);
	group->held = 0;
	group->count = 0;
}

/* The lowest `width` bytes of each value, little-endian. */
static inline void tautline_put_little_endian(tautline_out *out, tautline_base64 *group, uint32_t value, int width)
{
	int i;
	for (i = 0; i < width; i++) tautline_put_base64(out, group, (uint8_t)((value >> (8 * i)) & 0xFFu));
}

static inline void tautline_end_base64(tautline_out *out, tautline_base64 *group)
{
	if (group->count > 0) tautline_put_group(out, group);
	tautline_end(out);
}

/* F with 16-bit readings. */
static inline void tautline_frame_i16(tautline_out *out, uint8_t band, uint16_t number, uint32_t sequence,
	uint32_t time_micros, const int16_t *readings, size_t count)
{
	tautline_base64 group = { 0, 0 };
	size_t i;
	tautline_begin_frame(out, band, number, sequence, time_micros, "i16");
	for (i = 0; i < count; i++) tautline_put_little_endian(out, &group, (uint32_t)(uint16_t)readings[i], 2);
	tautline_end_base64(out, &group);
}

static inline int32_t tautline_clip24(int32_t reading)
{
	return reading > 8388607 ? 8388607 : reading < -8388608 ? -8388608 : reading;
}

/* F with 24-bit readings; what is larger is sent at full scale, as a reading that clipped. */
static inline void tautline_frame_i24(tautline_out *out, uint8_t band, uint16_t number, uint32_t sequence,
	uint32_t time_micros, const int32_t *readings, size_t count)
{
	tautline_base64 group = { 0, 0 };
	size_t i;
	tautline_begin_frame(out, band, number, sequence, time_micros, "i24");
	for (i = 0; i < count; i++) {
		tautline_put_little_endian(out, &group, (uint32_t)tautline_clip24(readings[i]), 3);
	}
	tautline_end_base64(out, &group);
}

/* F with 32-bit readings. */
static inline void tautline_frame_i32(tautline_out *out, uint8_t band, uint16_t number, uint32_t sequence,
	uint32_t time_micros, const int32_t *readings, size_t count)
{
	tautline_base64 group = { 0, 0 };
	size_t i;
	tautline_begin_frame(out, band, number, sequence, time_micros, "i32");
	for (i = 0; i < count; i++) tautline_put_little_endian(out, &group, (uint32_t)readings[i], 4);
	tautline_end_base64(out, &group);
}

/* F with single precision readings, all finite. `float` must be IEEE 754 binary32. */
static inline void tautline_frame_f32(tautline_out *out, uint8_t band, uint16_t number, uint32_t sequence,
	uint32_t time_micros, const float *readings, size_t count)
{
	tautline_base64 group = { 0, 0 };
	size_t i;
	tautline_begin_frame(out, band, number, sequence, time_micros, "f32");
	for (i = 0; i < count; i++) {
		union {
			float real;
			uint32_t bits;
		} reading;
		reading.real = readings[i];
		tautline_put_little_endian(out, &group, reading.bits, 4);
	}
	tautline_end_base64(out, &group);
}

/* F in decimals: longer lines, but a person can read them. */
static inline void tautline_frame_decimal(tautline_out *out, uint8_t band, uint16_t number, uint32_t sequence,
	uint32_t time_micros, const int32_t *readings, size_t count)
{
	size_t i;
	tautline_begin_frame(out, band, number, sequence, time_micros, "d");
	for (i = 0; i < count; i++) {
		uint32_t size = (uint32_t)readings[i];
		if (i > 0) tautline_put_bytes(out, ",", 1);
		if (readings[i] < 0) {
			tautline_put_bytes(out, "-", 1);
			size = 0u - size;
		}
		tautline_put_whole(out, size);
	}
	tautline_end(out);
}

/* ---- Answers -------------------------------------------------------------------------------------------------- */

typedef enum {
	TAUTLINE_UNKNOWN_COMMAND,
	TAUTLINE_BAD_ARGUMENT,
	TAUTLINE_OUT_OF_RANGE,
	TAUTLINE_OVER_LIMIT,
	TAUTLINE_IS_CHARGING,
	TAUTLINE_BUSY,
	TAUTLINE_HARDWARE
} tautline_refusal;

/* A, after the lines that belong to the command (the new C, the Z). */
static inline void tautline_acknowledge(tautline_out *out, uint32_t id)
{
	tautline_begin(out, 'A');
	tautline_field_whole(out, id);
	tautline_end(out);
}

/* N */
static inline void tautline_refuse(tautline_out *out, uint32_t id, tautline_refusal reason)
{
	static const char *const reasons[] = { "unknown-command", "bad-argument", "out-of-range", "over-limit", "charging",
		"busy", "hardware" };
	tautline_begin(out, 'N');
	tautline_field_whole(out, id);
	tautline_field_text(out, reasons[reason]);
	tautline_end(out);
}

/* ---- Reading what the host says ------------------------------------------------------------------------------- */

typedef enum {
	TAUTLINE_HELLO,
	TAUTLINE_ALIVE,
	TAUTLINE_START,
	TAUTLINE_STOP,
	TAUTLINE_CONTACT,
	TAUTLINE_CURRENT,
	TAUTLINE_FREQUENCY,
	TAUTLINE_GAIN
} tautline_verb;

/* `value`: microampere, hertz or gain, 0 for other verbs. `band`: 0 to 3 or TAUTLINE_ALL_BANDS. `refusal` counts only
 * with TAUTLINE_REFUSE. Whether the board can do it is the board's to judge: against its B record, its limit, its
 * charger. */
typedef struct {
	uint32_t id;
	tautline_verb verb;
	int band;
	double value;
	tautline_refusal refusal;
} tautline_command;

typedef enum {
	/* Damaged, or not a command: say nothing, the host asks again. */
	TAUTLINE_NOTHING,
	/* Carry out, then acknowledge. */
	TAUTLINE_COMMAND,
	/* Whole, but not to be carried out: refuse with `refusal`. */
	TAUTLINE_REFUSE
} tautline_reading;

/* The longest command line of the protocol fits; what is longer is skipped to its end. Start with all zero. */
#define TAUTLINE_LONGEST_COMMAND 96

typedef struct {
	char line[TAUTLINE_LONGEST_COMMAND];
	uint16_t count;
	/* Lines with a right checksum so far, for the 10 s rule. */
	uint32_t whole_lines;
} tautline_in;

/* A place in a line; fields end at a space or at `end`. */
typedef struct {
	const char *at;
	const char *end;
	int failed;
} tautline_fields;

/* The next field; count 0 marks a failure. */
static inline size_t tautline_next_field(tautline_fields *f, const char **field)
{
	size_t count = 0;
	if (f->failed || f->at == f->end || *f->at != ' ') {
		f->failed = 1;
		return 0;
	}
	f->at++;
	*field = f->at;
	while (f->at < f->end && *f->at != ' ') {
		f->at++;
		count++;
	}
	if (count == 0) f->failed = 1;
	return count;
}

static inline int tautline_same(const char *text, size_t count, const char *word)
{
	size_t i;
	for (i = 0; i < count; i++) {
		if (word[i] != text[i]) return 0;
	}
	return word[count] == '\0';
}

static inline int tautline_is_digit(char c)
{
	return c >= '0' && c <= '9';
}

/* 1 to 32 of A-Z a-z 0-9 . _ - */
static inline int tautline_is_word(const char *text, size_t count)
{
	size_t i;
	if (count < 1 || count > 32) return 0;
	for (i = 0; i < count; i++) {
		char c = text[i];
		int is_letter = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
		if (!is_letter && !tautline_is_digit(c) && c != '.' && c != '_' && c != '-') return 0;
	}
	return 1;
}

/* Digits without sign or spare zeros. @returns 0 when not so written. Beyond 32 bits: UINT32_MAX with `is_large`. */
static inline int tautline_whole_of(const char *text, size_t count, uint32_t *value, int *is_large)
{
	size_t i;
	*value = 0;
	*is_large = 0;
	if (count == 0 || (count > 1 && text[0] == '0')) return 0;
	for (i = 0; i < count; i++) {
		uint32_t digit = (uint32_t)(text[i] - '0');
		if (!tautline_is_digit(text[i])) return 0;
		if (*value > (UINT32_MAX - digit) / 10u) *is_large = 1;
		*value = *is_large ? UINT32_MAX : *value * 10u + digit;
	}
	return 1;
}

/* A number as in JSON, to within a few units of the last place. @returns 0 when not so written. */
static inline int tautline_real_of(const char *text, size_t count, double *value)
{
	size_t i = 0;
	int exponent = 0;
	int sign = 1;
	double size = 0;
	if (i < count && text[i] == '-') {
		sign = -1;
		i++;
	}
	if (i >= count || !tautline_is_digit(text[i])) return 0;
	if (text[i] == '0' && i + 1 < count && tautline_is_digit(text[i + 1])) return 0;
	for (; i < count && tautline_is_digit(text[i]); i++) size = size * 10 + (text[i] - '0');
	if (i < count && text[i] == '.') {
		i++;
		if (i >= count || !tautline_is_digit(text[i])) return 0;
		for (; i < count && tautline_is_digit(text[i]); i++) {
			size = size * 10 + (text[i] - '0');
			exponent--;
		}
	}
	if (i < count && (text[i] == 'e' || text[i] == 'E')) {
		int told = 0;
		int told_sign = 1;
		i++;
		if (i < count && (text[i] == '+' || text[i] == '-')) told_sign = text[i++] == '-' ? -1 : 1;
		if (i >= count || !tautline_is_digit(text[i])) return 0;
		for (; i < count && tautline_is_digit(text[i]); i++) {
			if (told < 1000) told = told * 10 + (text[i] - '0');
		}
		exponent += told_sign * told;
	}
	if (i != count) return 0;
	for (; exponent > 0 && size < 1e30 && size > 0; exponent--) size *= 10;
	for (; exponent < 0 && size > 0; exponent++) size /= 10;
	*value = sign * size;
	return 1;
}

/* Whether the checksum of `line` fits; `*body` is then the count of bytes before the tilde. */
static inline int tautline_is_whole(const char *line, size_t count, size_t *body)
{
	uint16_t crc = 0xFFFFu;
	uint16_t told = 0;
	size_t i;
	if (count < 6 || line[count - 5] != '~') return 0;
	for (i = count - 4; i < count; i++) {
		char c = line[i];
		if (!tautline_is_digit(c) && !(c >= 'A' && c <= 'F')) return 0;
		told = (uint16_t)((told << 4) | (uint16_t)(tautline_is_digit(c) ? c - '0' : c - 'A' + 10));
	}
	for (i = 0; i < count - 5; i++) crc = tautline_crc(crc, (uint8_t)line[i]);
	*body = count - 5;
	return crc == told;
}

static inline tautline_reading tautline_refused(tautline_command *command, tautline_refusal why)
{
	command->refusal = why;
	return TAUTLINE_REFUSE;
}

/* One line without its LF. Any bytes will do; only a whole command line is answered. */
static inline tautline_reading tautline_read_line(const char *line, size_t count, tautline_command *command)
{
	static const struct {
		const char *name;
		tautline_verb verb;
		uint32_t least, most;
	} verbs[] = {
		{ "hello", TAUTLINE_HELLO, 0, 0 }, { "alive", TAUTLINE_ALIVE, 0, 0 }, { "start", TAUTLINE_START, 0, 0 },
		{ "stop", TAUTLINE_STOP, 0, 0 }, { "contact", TAUTLINE_CONTACT, 0, 0 },
		{ "current", TAUTLINE_CURRENT, 0, 10000 }, { "frequency", TAUTLINE_FREQUENCY, 1, 10000000 },
		{ "gain", TAUTLINE_GAIN, 0, 0 }
	};
	const size_t verb_count = sizeof verbs / sizeof verbs[0];
	tautline_fields fields;
	const char *field = line;
	const char *band = line;
	size_t body, name_count, band_count, value_count, v;
	uint32_t whole;
	int is_large;
	int is_out_of_range = 0;

	if (!tautline_is_whole(line, count, &body) || line[0] != 'Q') return TAUTLINE_NOTHING;
	fields.at = line + 1;
	fields.end = line + body;
	fields.failed = 0;
	value_count = tautline_next_field(&fields, &field);
	if (!tautline_whole_of(field, value_count, &command->id, &is_large)) return TAUTLINE_NOTHING;
	if (is_large || command->id == 0) return TAUTLINE_NOTHING;

	command->band = TAUTLINE_ALL_BANDS;
	command->value = 0;
	name_count = tautline_next_field(&fields, &field);
	if (!tautline_is_word(field, name_count)) fields.failed = 1;
	for (v = 0; v < verb_count; v++) {
		if (tautline_same(field, name_count, verbs[v].name)) break;
	}
	band_count = tautline_next_field(&fields, &band);
	if (!fields.failed && !tautline_same(band, band_count, "*")) {
		if (!tautline_whole_of(band, band_count, &whole, &is_large)) fields.failed = 1;
		if (whole > 3) is_out_of_range = 1;
		command->band = (int)(whole & 3u);
	}
	if (fields.failed) return tautline_refused(command, TAUTLINE_BAD_ARGUMENT);
	if (v == verb_count) return tautline_refused(command, TAUTLINE_UNKNOWN_COMMAND);

	command->verb = verbs[v].verb;
	value_count = tautline_next_field(&fields, &field);
	if (fields.failed || fields.at != fields.end) return tautline_refused(command, TAUTLINE_BAD_ARGUMENT);
	switch (command->verb) {
	case TAUTLINE_CURRENT:
	case TAUTLINE_FREQUENCY:
		if (!tautline_whole_of(field, value_count, &whole, &is_large)) {
			return tautline_refused(command, TAUTLINE_BAD_ARGUMENT);
		}
		if (whole < verbs[v].least || whole > verbs[v].most) is_out_of_range = 1;
		command->value = whole;
		break;
	case TAUTLINE_GAIN:
		if (!tautline_real_of(field, value_count, &command->value)) {
			return tautline_refused(command, TAUTLINE_BAD_ARGUMENT);
		}
		if (!(command->value >= 1e-6 && command->value <= 1e6)) is_out_of_range = 1;
		break;
	default:
		if (!tautline_same(field, value_count, "-")) return tautline_refused(command, TAUTLINE_BAD_ARGUMENT);
	}
	/* These are for the whole board, whatever band they name. */
	if (command->verb == TAUTLINE_HELLO || command->verb == TAUTLINE_ALIVE) command->band = TAUTLINE_ALL_BANDS;
	return is_out_of_range ? tautline_refused(command, TAUTLINE_OUT_OF_RANGE) : TAUTLINE_COMMAND;
}

/* The next byte from the host; says something at the end of a line only. */
static inline tautline_reading tautline_read_byte(tautline_in *in, char byte, tautline_command *command)
{
	size_t count = in->count;
	size_t body;
	if (byte != '\n') {
		/* One place is kept as the mark of a line that is too long. */
		if (in->count < TAUTLINE_LONGEST_COMMAND) in->line[in->count++] = byte;
		return TAUTLINE_NOTHING;
	}
	in->count = 0;
	if (count == TAUTLINE_LONGEST_COMMAND) return TAUTLINE_NOTHING;
	if (count > 0 && in->line[count - 1] == '\r') count--;
	if (tautline_is_whole(in->line, count, &body)) in->whole_lines++;
	return tautline_read_line(in->line, count, command);
}

#ifdef __cplusplus
}
#endif

#endif
