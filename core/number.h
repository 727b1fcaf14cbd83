/* number.h — numbers to and from text, the same in every locale. */
#ifndef IMP_NUMBER_H
#define IMP_NUMBER_H

#include <stddef.h>

#include "status.h"

enum { IMP_NUMBER_TEXT_SIZE = 40 };

/* Read a decimal number at the start of text (at most `length` bytes): sign, digits with an optional point, exponent;
 * ".5" and "5." are read; hexadecimal, "inf" and "nan" are not. Correctly rounded. *used is the number of bytes taken,
 * 0 when there is no number (then *value is untouched). Overflow gives an infinity for the caller to refuse. */
void imp_number_read(const char *text, size_t length, double *value, size_t *used);

/* Write value with `digits` significant digits (1..17; 0 = as few as read back the same double), superfluous zeros
 * dropped, exponent form below 1e-4 and from 1e15 on ("1.5e-5", "1e15"). Minus zero is written "0".
 * size >= IMP_NUMBER_TEXT_SIZE is enough; a smaller buffer gets the text cut. Returns text.
 * Not-a-number and infinities are written "nan", "inf", "-inf". */
char *imp_number_write(double value, int digits, char *text, size_t size);

/* Write value with exactly `decimals` digits (0..15) behind the point ("9.30"). |value| < 1e15, else as above. */
char *imp_number_write_fixed(double value, int decimals, char *text, size_t size);

/* Edit distance between two names, for "did you mean" (adjacent swaps count once); stops caring above `limit`. */
int imp_name_distance(const char *a, const char *b, int limit);

#endif
