namespace KitMesh.Hub.SelfTest;

/// <summary>One check and what it found.</summary>
/// <param name="Check">What was looked at: "journal", "clock".</param>
/// <param name="Outcome">How it came out.</param>
/// <param name="Words">What was found.</param>
/// <param name="Mend">What to do; null when nothing is to be done.</param>
public sealed record CheckLine(string Check, CheckOutcome Outcome, string Words, string? Mend = null)
{
    internal static CheckLine Right(string check, string words) => new(check, CheckOutcome.Right, words);

    internal static CheckLine Look(string check, string words, string mend) => new(check, CheckOutcome.Look, words, mend);

    internal static CheckLine Wrong(string check, string words, string mend) => new(check, CheckOutcome.Wrong, words, mend);
}
