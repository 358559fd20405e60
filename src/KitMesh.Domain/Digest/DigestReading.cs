namespace KitMesh.Domain.Digest;

/// <summary>What came of reading a line: read or refused.</summary>
public abstract record DigestReading
{
    private DigestReading()
    {
    }

    /// <summary>The line is whole.</summary>
    /// <param name="Content">What it says.</param>
    /// <param name="Line">The line in its plain form, without separators.</param>
    public sealed record Read(DigestContent Content, string Line) : DigestReading;

    /// <summary>The line cannot be believed; nothing of it is used.</summary>
    /// <param name="Reason">Why, in words.</param>
    /// <param name="Suspects">
    /// Places, counted from 1 without separators, where one other symbol would make the line whole: where to look again.
    /// Never used to mend a line.
    /// </param>
    public sealed record Refused(string Reason, ValueList<int> Suspects) : DigestReading;
}
