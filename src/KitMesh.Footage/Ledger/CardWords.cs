using KitMesh.Domain.Results;

namespace KitMesh.Footage.Ledger;

/// <summary>Says in one sentence why a card stands as it does.</summary>
internal sealed class CardWords(LedgerFacts facts, IReadOnlyList<SourceView> sources, ClipEntry[] entries, int[] positions)
{
    public string Reason(CardState state, CardContent content, CardCount count)
    {
        string words = state switch
        {
            CardState.NotSeen => "no station has read it on this trip",
            CardState.MayBeFormatted when content.OnCard.Count == 0 => "it holds no clips",
            CardState.MayBeFormatted when count.GivenUp.Count > 0 =>
                $"{count.Release!.Words}. {count.GivenUp.Count} of {Clips(content.OnCard.Count)} are short of proof",
            CardState.MayBeFormatted => $"all {Clips(content.OnCard.Count)} have {AtLeast(count.LeastCopies)} as the rule asks",
            CardState.OnHold => OnHold(content, count),
            CardState.Formatted => $"formatted; all {Clips(content.Gone.Count)} that were on it are proven still",
            CardState.FormattedShort =>
                $"formatted, and {count.GoneShort.Count} of the {Clips(content.Gone.Count)} that were on it are short of proof now: {Worst(count.GoneShort)}",
            _ => throw new ArgumentOutOfRangeException(nameof(state), state, "No words for this state."),
        };
        if (count.GoneShort.Count > 0 && state is CardState.OnHold or CardState.MayBeFormatted)
        {
            words += $"; {Clips(count.GoneShort.Count)} no longer on it are short of proof: {Worst(count.GoneShort)}";
        }

        return count.Damaged > 0 && state == CardState.MayBeFormatted
            ? $"{words}; but {Clips(count.Damaged)} are damaged in themselves: look at them while the card exists"
            : words;
    }

    private string OnHold(CardContent content, CardCount count)
    {
        List<string> parts = [];
        if (content.IsUncounted)
        {
            parts.Add("how many files are on it has not been heard here yet from a station whose word counts");
        }

        // A file that could not be read is unread too; it is told once.
        int waiting = content.FilesUnread - count.Faults.Count;
        if (waiting > 0)
        {
            parts.Add($"{waiting} of {Files(content.Files)} on it are not read yet");
        }

        if (count.Faults.Count > 0)
        {
            parts.Add($"{Files(count.Faults.Count)} on it could not be read whole, such as {count.Faults.Min(fault => fault.Fact.Path)}");
        }

        if (count.Short.Count > 0)
        {
            parts.Add($"{count.Short.Count} of {Clips(content.OnCard.Count)} are short of proof: {Worst(count.Short)}");
        }

        return string.Join("; ", parts);
    }

    private string Worst(IEnumerable<int> clips)
    {
        // Positions are in the order of day, card and path, so ties fall the same way for everybody.
        int worst = clips.Select(clip => positions[clip]).OrderBy(at => entries[at].Proof.Copies).ThenBy(at => entries[at].Proof.Cases).ThenBy(at => at).First();
        ref ClipEntry entry = ref entries[worst];
        string path = facts.Paths[facts.Sightings[entry.Facts.Sighting].Path];
        
        // Each clip is under the rule of its own source, which may be stricter than that of the card's.
        return entry is { MeetsRule: false, MeetsRuleButForAge: true }
            ? $"{path} wants a recheck, its proofs are older than the rule allows"
            : $"{path} has {sources[entry.Source].Rule.Missing(entry.Proof) ?? "too old a proof"}";
    }

    private static string AtLeast(int copies) => copies == 1 ? "a proven copy" : $"{copies} proven copies or more";

    private static string Clips(int count) => count == 1 ? "1 clip" : $"{count} clips";

    private static string Files(int count) => count == 1 ? "1 file" : $"{count} files";
}
