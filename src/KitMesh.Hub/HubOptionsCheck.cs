using System.Globalization;
using System.Net;

namespace KitMesh.Hub;

/// <summary>Judges <see cref="HubOptions"/> at start. Every message names where, which key, and the mend.</summary>
public static class HubOptionsCheck
{
    /// <summary>All that is wrong, in the order of the options; empty when the hub may start.</summary>
    /// <param name="options">The options.</param>
    public static IReadOnlyList<string> Problems(HubOptions options)
    {
        var problems = new List<string>();
        void Add(string key, string what, string mend) => problems.Add($"{options.Origin}: {key}: {what} {mend}");
        void Range(string key, long value, long least, long most, string unit)
        {
            if (value < least || value > most)
            {
                Add(key, string.Create(CultureInfo.InvariantCulture, $"{value} {unit} is out of range."), string.Create(CultureInfo.InvariantCulture, $"Use {least} to {most}."));
            }
        }

        if (string.IsNullOrWhiteSpace(options.DataFolder))
        {
            Add("data", "no folder is named.", "Name a folder that this user may write; it is made when missing.");
        }

        CheckListen(options, Add);
        CheckHubs(options, Add);
        if (options.Otlp is { } otlp && !(otlp.IsAbsoluteUri && otlp.Scheme is "http" or "https" && otlp.PathAndQuery == "/"))
        {
            Add("otlp", $"{otlp} is no address of a collector.", "Write it like http://127.0.0.1:4318; the paths /v1/metrics and /v1/traces are added.");
        }

        if (options.TripFile is { } trip && !File.Exists(trip))
        {
            Add("trip", $"there is no file {trip}.", "Name the trip file, or leave it out.");
        }

        Range("maxReportBytes", options.MaxReportBytes, 1_024, 1_048_576, "bytes");
        Range("maxMessageBytes", options.MaxMessageBytes, 65_536, 67_108_864, "bytes");
        Range("creditBytes", options.CreditBytes, 1L << 20, 1L << 30, "bytes");
        Range("maxSessions", options.MaxSessions, 1, 10_000, "sessions");
        Range("callTimeout", (long)options.CallTimeout.TotalSeconds, 1, 600, "seconds");
        Range("peerReadsWithin", (long)options.PeerReadsWithin.TotalSeconds, 1, 600, "seconds");
        Range("storeRetry", (long)options.StoreRetry.TotalSeconds, 1, 600, "seconds");
        Range("outlookPaths", options.OutlookPaths, 1_000, 1_000_000, "paths");
        return problems;
    }

    private static void CheckListen(HubOptions options, Action<string, string, string> add)
    {
        Uri listen = options.Listen;
        bool isHttps = listen.IsAbsoluteUri && listen.Scheme == Uri.UriSchemeHttps;
        bool isHttp = listen.IsAbsoluteUri && listen.Scheme == Uri.UriSchemeHttp && options.Certificate is null;
        if (!isHttps && !isHttp)
        {
            add("listen", $"{listen} is no address for a hub.", options.Certificate is null ? "Use http://127.0.0.1:7433, or https://0.0.0.0:7433 for other devices." : "Use https://127.0.0.1:7433, or another port.");
        }
        else if (!options.AsksWho && !IsLoopback(listen))
        {
            add(
                "listen",
                $"{listen.Host} can be reached by strangers, and over {listen.Scheme} like this nobody is asked who they are.",
                "Use https://0.0.0.0:7433, where only enrolled devices are answered, or 127.0.0.1 for this machine alone.");
        }
        else if (!IsLoopback(listen) && !IPAddress.TryParse(listen.Host.Trim('[', ']'), out _))
        {
            add("listen", $"{listen.Host} is a name, not an address of this machine.", "Use https://0.0.0.0:7433 for every address, or one address.");
        }
        else if (listen.PathAndQuery != "/")
        {
            add("listen", $"{listen.PathAndQuery} is a path.", "Give scheme, host and port only.");
        }
    }

    private static void CheckHubs(HubOptions options, Action<string, string, string> add)
    {
        if (options.Hubs.Count > HubOptions.MostHubs)
        {
            add("to", $"{options.Hubs.Count} hubs are named.", $"Name at most {HubOptions.MostHubs}; a hub passes on what it hears.");
        }

        foreach (Uri hub in options.Hubs)
        {
            bool isHttps = hub.IsAbsoluteUri && hub.Scheme == Uri.UriSchemeHttps;
            if (!isHttps && !(hub.IsAbsoluteUri && hub.Scheme == Uri.UriSchemeHttp))
            {
                add("to", $"{hub} is no address of a hub.", "Write it like https://192.168.4.1:7433.");
            }
            else if (hub.PathAndQuery != "/")
            {
                add("to", $"{hub.PathAndQuery} is a path.", "Give scheme, host and port only.");
            }
            else if (isHttps && !options.AsksWho)
            {
                add("to", $"{hub} asks who calls, and a hub at an http address has no certificate.", "Enrol this hub (docs/enrolment.md) and start it with --listen https://127.0.0.1:7433 or https://0.0.0.0:7433.");
            }
            else if (!isHttps && !IsLoopback(hub))
            {
                add("to", $"{hub} would be told everything without knowing who it is.", "Use https.");
            }
        }
    }

    private static bool IsLoopback(Uri listen) =>
        listen.Host.Equals("localhost", StringComparison.OrdinalIgnoreCase) ||
        (IPAddress.TryParse(listen.Host.Trim('[', ']'), out IPAddress? address) && IPAddress.IsLoopback(address));
}
