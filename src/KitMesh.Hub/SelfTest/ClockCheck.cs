using System.Globalization;
using KitMesh.Protocol.Certificates;
using NodaTime;

namespace KitMesh.Hub.SelfTest;

/// <summary>Whether the wall clock can be believed. A hub runs with a wrong one; its certificates and its "now" are then doubtful.</summary>
internal static class ClockCheck
{
    private const string Check = "clock";
    private const string Mend = "Set the clock, by a phone or a receiver; reports are re-timed when it is right.";
    private static readonly Duration Tolerated = Duration.FromMinutes(5);

    /// <summary>Compares it with the years in which it can be right and with the last arrival in the journal.</summary>
    public static CheckLine Look(Instant now, Instant? lastArrival)
    {
        string says = string.Create(CultureInfo.InvariantCulture, $"The clock says {now:yyyy-MM-dd HH:mm} UTC");
        if (!CertificateTime.IsBelieved(now))
        {
            return CheckLine.Look(Check, $"{says}, which nobody believes.", Mend);
        }

        return lastArrival is { } last && CertificateTime.IsBelieved(last) && now < last - Tolerated
            ? CheckLine.Look(Check, string.Create(CultureInfo.InvariantCulture, $"{says}, and a report arrived here at {last:yyyy-MM-dd HH:mm}: it was set back, or it stood still."), Mend)
            : CheckLine.Right(Check, lastArrival is { } arrived ? string.Create(CultureInfo.InvariantCulture, $"{says}; the last report arrived here at {arrived:yyyy-MM-dd HH:mm}.") : $"{says}.");
    }
}
