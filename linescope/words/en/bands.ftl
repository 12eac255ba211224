# Bands: what the low and the high of the inputs make of the main figures.

bands = Uncertainty: main figures with every input at its low and at its high
bands-result = figure
bands-low = low
bands-value = as given
bands-high = high
bands-effect = most affected by
bands-matters-most = { $known ->
        [guess] The input that matters most, a guess:
        [assumed] The input that matters most, assumed because nobody gave it:
       *[other] The input that matters most:
    } { $input }, { $share } of these ranges on average.
bands-basis-added = Each input is moved on its own and the changes are added up: a working range, not a guarantee.
bands-failed = { $input } at its { $end ->
        [low] low
       *[high] high
    } value: { $error }

## Figures

bands-walker-drop = walker's feet below the chord
bands-tension-a = main at A with the walker
bands-least-excess = least excess with the walker
bands-deepest-loop = deepest loop with the walker, as taped
bands-deepest-settled = deepest loop with the walker, settled
bands-slip = largest slip in a crossing and back
