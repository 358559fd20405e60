using KitMesh.Cli.Frame;
using NodaTime;
using NodaTime.Text;

namespace KitMesh.Cli.Asking;

/// <summary>Moments as people type them.</summary>
internal static class Moments
{
    /// <summary>A moment in UTC, or with an offset.</summary>
    /// <param name="text">What was typed.</param>
    /// <param name="option">Where, for the message.</param>
    /// <exception cref="CommandFault">It is no moment.</exception>
    public static Instant Parse(string text, string option)
    {
        ParseResult<Instant> utc = InstantPattern.ExtendedIso.Parse(text);
        if (utc.Success)
        {
            return utc.Value;
        }

        ParseResult<OffsetDateTime> civil = OffsetDateTimePattern.Rfc3339.Parse(text);
        return civil.Success
            ? civil.Value.ToInstant()
            : throw CommandFault.BadInput($"{option}: \"{text}\" is no moment.", "Write 2027-02-14T20:00:00Z, or with an offset: 2027-02-15T02:00:00+06:00.");
    }
}
