# Bands: what the low and the high of the inputs make of the main figures.

bands = What is not known well: figures with the low and the high of every input
bands-result = figure
bands-low = low
bands-value = as given
bands-high = high
bands-effect = moved most by
bands-matters-most = { $known ->
        [guess] The input that matters most, a guess:
        [assumed] The input that matters most, assumed because nobody gave it:
       *[other] The input that matters most:
    } { $input }, { $share } of these bands on average.
bands-basis-added = Bands move one input at a time and add the moves up: a working band, no certainty.
bands-failed = { $input } at its { $end ->
        [low] low
       *[high] high
    } value: { $error }

## Figures of topics that name none of their own yet

bands-walker-drop = walker's feet below the chord
bands-tension-a = main at A with the walker
bands-least-excess = least excess with the walker
bands-deepest-loop = deepest loop with the walker, as taped
bands-deepest-settled = deepest loop with the walker, settled
bands-slip = largest slip in a crossing and back
