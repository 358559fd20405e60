using System.Buffers.Text;
using System.Security.Cryptography;
using System.Text.Json;
using System.Text.Json.Nodes;
using KitMesh.Disk;
using KitMesh.Domain.Reports;
using KitMesh.Protocol.Certificates;
using NodaTime;

namespace KitMesh.Hub.Enrolment;

/// <summary>The browsers that joined, kept over restarts: a hub that runs an hour a day must not ask for a new code each evening.</summary>
/// <remarks>
/// Only hashes of tokens are kept, in a file that only the owner may read, so a lost disk opens no page. A token has 256
/// random bits, so the hash needs no salt. At most 1,000; past it the one that ends first makes room.
/// </remarks>
internal sealed class PageSessions
{
    /// <summary>Name of the cookie; the prefix makes browsers insist on HTTPS, this host and the whole path (RFC 6265bis).</summary>
    public const string Cookie = "__Host-kitmesh";

    private const int TokenBytes = 32;
    private const int Most = 1_000;
    private readonly Lock _gate = new();
    private readonly string _file;
    private readonly Dictionary<Sha256Hash, PageSession> _sessions = [];

    public PageSessions(string dataFolder)
    {
        _file = Path.Combine(new HubIdentityFolder(dataFolder).Location, "sessions.json");
        foreach (PageSession session in Read())
        {
            _sessions[session.Token] = session;
        }
    }

    /// <summary>Every session, by node.</summary>
    public IReadOnlyList<PageSession> All
    {
        get
        {
            lock (_gate)
            {
                return [.. _sessions.Values.OrderBy(session => session.Node)];
            }
        }
    }

    /// <summary>Lets a browser in.</summary>
    /// <returns>The token for its cookie.</returns>
    /// <exception cref="IOException">The disk refuses; nobody is let in.</exception>
    public string Open(NodeId node, MeshRoles roles, Instant now)
    {
        byte[] token = RandomNumberGenerator.GetBytes(TokenBytes);
        var session = new PageSession(Sha256Hash.Of(token), node, roles, CertificateTime.From(now, HubIdentity.NodeLength));
        lock (_gate)
        {
            foreach (PageSession old in _sessions.Values.Where(old => CertificateTime.IsOutside(old.Span, now)).ToArray())
            {
                _sessions.Remove(old.Token);
            }

            while (_sessions.Count >= Most)
            {
                _sessions.Remove(_sessions.Values.MinBy(old => old.Span.Until)!.Token);
            }

            _sessions.Add(session.Token, session);
            try
            {
                Write();
            }
            catch
            {
                _sessions.Remove(session.Token);
                throw;
            }
        }

        return Base64Url.EncodeToString(token);
    }

    /// <summary>The session of a cookie; null when there is none.</summary>
    public PageSession? Find(string? token)
    {
        Span<byte> bytes = stackalloc byte[TokenBytes + 1];
        if (token is not { Length: 43 } || !Base64Url.IsValid(token) || !Base64Url.TryDecodeFromChars(token, bytes, out int length) || length != TokenBytes)
        {
            return null;
        }

        lock (_gate)
        {
            return _sessions.GetValueOrDefault(Sha256Hash.Of(bytes[..TokenBytes]));
        }
    }

    private IEnumerable<PageSession> Read()
    {
        if (!File.Exists(_file))
        {
            return [];
        }

        try
        {
            return [.. JsonNode.Parse(File.ReadAllText(_file))!.AsArray().Take(Most).Select(entry => Read(entry!))];
        }
        catch (Exception broken) when (broken is JsonException or FormatException or InvalidOperationException or NullReferenceException)
        {
            // A file that somebody spoilt lets nobody in; browsers join again.
            return [];
        }
    }

    private static PageSession Read(JsonNode entry) =>
        Sha256Hash.TryParse((string?)entry["token"], out Sha256Hash token) && RoleNames.TryParse([.. entry["roles"]!.AsArray().Select(role => (string)role!)], out MeshRoles roles, out _)
            ? new PageSession(
                token,
                NodeId.Parse((string)entry["node"]!),
                roles & (MeshRoles.Reader | MeshRoles.Writer),
                new CertificateSpan(DateTimeOffset.FromUnixTimeSeconds((long)entry["from"]!), DateTimeOffset.FromUnixTimeSeconds((long)entry["until"]!)))
            : throw new FormatException("This is no session.");

    private void Write()
    {
        var list = new JsonArray([.. _sessions.Values.Select(session => (JsonNode)new JsonObject
        {
            ["token"] = session.Token.ToString(),
            ["node"] = session.Node.Value,
            ["roles"] = new JsonArray([.. RoleNames.Of(session.Roles).Select(role => (JsonNode)role)]),
            ["from"] = session.Span.From.ToUnixTimeSeconds(),
            ["until"] = session.Span.Until.ToUnixTimeSeconds(),
        })]);
        PrivateFile.Write(_file, JsonSerializer.SerializeToUtf8Bytes(list));
    }
}
