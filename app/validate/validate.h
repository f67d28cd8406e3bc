/*
 * Published checks on this machine: docs/guide/validate.md lists them. Whoever must show that the
 * program computes rightly where it is used runs them and keeps the record.
 */
#ifndef VALIDATE_VALIDATE_H
#define VALIDATE_VALIDATE_H

#include "app/base/messages.h"
#include "app/base/threads.h"
#include "app/lab/validation.h"

/* Carries out every check; some seconds. NULL with messages when one could not be carried out at
   all: that is a defect, and not a check that says no. */
lab_validation *validate_all(base_threads *threads, base_messages *messages);

#endif
