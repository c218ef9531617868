/** The colour in hand while painting. */
class Brush {
  colour = $state('W');
}

export const brush = new Brush();
