using KitMesh.Domain.Digest;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;
using KitMesh.Hub.Enrolment;
using KitMesh.Hub.Ingest;
using KitMesh.Protocol.Certificates;
using KitMesh.Sync.Journal;
using Microsoft.AspNetCore.Http;

namespace KitMesh.Hub.Pages;

/// <summary>Takes what is typed into the page "Trip" and makes it a report of this hub. "Kept" is answered only after it is durable.</summary>
internal sealed class TripTelling(ReportIntake intake)
{
    private const int MaxWords = 2_000;
    private const int MaxAuthor = 100;
    private const string Kept = "kept";

    /// <summary>The answers that the page can show, by the word in its address: nothing typed comes back through the address.</summary>
    private static readonly Dictionary<string, string> Answers = new(StringComparer.Ordinal)
    {
        [Kept] = "✓ Kept: it is on this hub's disk.",
        ["role"] = "▲ Not kept: this needs the role keeper.",
        ["author"] = "▲ Not kept: say who you are, in at most 100 characters.",
        ["name"] = "▲ Not kept: choose a thing, and who or what has it now.",
        ["charge"] = "▲ Not kept: the charge is a number from 0 to 100.",
        ["words"] = "▲ Not kept: write something, at most 2,000 characters.",
        ["day"] = "▲ Not kept: choose a place, and a day like 2027-02-14.",
        ["sky"] = "▲ Not kept: choose what the sky will be and how far you believe it.",
        ["cold"] = "▲ Not kept: temperatures are numbers from -70 to 55 °C, the night no warmer than noon.",
        ["line"] = "▲ Not kept: this is no whole digest line. Ask for it again, group by group.",
        ["kind"] = "▲ Not kept: this page knows no such entry.",
        ["disk"] = "▲ Not kept: the hub's disk failed. Write it on paper.",
    };

    /// <summary>The words of an answer; empty for a word that is none.</summary>
    public static string Words(string? said) => said is not null && Answers.TryGetValue(said, out string? words) ? words : "";

    /// <summary>Whether an answer says that nothing was kept.</summary>
    public static bool IsRefusal(string? said) => said != Kept && Words(said).Length > 0;

    /// <summary>
    /// Whether someone may enter anything here. An entry becomes the hub's own word, which a writer of its own origin only has
    /// no right to. A hub that asks nobody only listens on this machine.
    /// </summary>
    public static bool MayTell(Caller? caller) => caller is null || caller.HasAny(MeshRoles.Keeper | MeshRoles.Hub);

    /// <summary>Takes one entry. Returns the word of its answer.</summary>
    public async Task<string> TakeAsync(IFormCollection form, Caller? caller, CancellationToken cancellation)
    {
        if (!MayTell(caller))
        {
            return "role";
        }

        string author = form["author"].ToString().Trim();
        if (author.Length is 0 or > MaxAuthor)
        {
            return "author";
        }

        (IReadOnlyList<ReportBody> bodies, string refused) = Read(form, author);
        if (bodies.Count == 0)
        {
            return refused;
        }

        OwnAppend append = await intake.WriteAsync(bodies, cancellation).ConfigureAwait(false);
        return append.Result is AppendResult.Durable ? Kept : "disk";
    }

    private static (IReadOnlyList<ReportBody> Bodies, string Refused) Read(IFormCollection form, string author)
    {
        string words = form["words"].ToString().Trim();
        switch (form["what"].ToString())
        {
            case "place":
                return KitId.TryParse(form["item"], out KitId item) && KitId.TryParse(form["into"], out KitId into) && item != into
                    ? ([new KitPlaced(item, into, author)], "")
                    : ([], "name");
            case "swap":
                return Swap(form, author);
            case "timecode":
                return KitId.TryParse(form["item"], out KitId device)
                    ? ([new Note(author, device, MorningDesk.TimecodeSet)], "")
                    : ([], "name");
            case "note":
                return words.Length is 0 or > MaxWords ? ([], "words") : ([new Note(author, null, words)], "");
            case "line":
                return words.Length <= MaxWords && DigestLine.Read(words) is DigestReading.Read read ? ([new DigestHeard(read.Line, author)], "") : ([], "line");
            case "forecast":
                return HeardForecast.Read(form, author);
            default:
                return ([], "kind");
        }
    }

    /// <summary>A reading has no room for an author, so a note on the device beside it says who swapped.</summary>
    private static (IReadOnlyList<ReportBody> Bodies, string Refused) Swap(IFormCollection form, string author)
    {
        if (!KitId.TryParse(form["item"], out KitId load))
        {
            return ([], "name");
        }

        return int.TryParse(form["charge"], System.Globalization.NumberStyles.None, System.Globalization.CultureInfo.InvariantCulture, out int percent) && percent <= 100
            ? ([new LoadReading(load, ChargeActivity.Discharging, new StateOfCharge(percent / 100.0), null, null, null, ReadingSource.Typed), new Note(author, load, $"battery swapped, {percent} %")], "")
            : ([], "charge");
    }
}
