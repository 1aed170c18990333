"""The domain: values and computations. No input or output, no clock, no words for the user."""
