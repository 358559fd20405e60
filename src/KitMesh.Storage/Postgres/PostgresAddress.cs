using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using Npgsql;

namespace KitMesh.Storage.Postgres;

// Problem: a database is named on a command line, which every user of the machine can read. Method: the connection URI of the
// PostgreSQL documentation (chapter "Connection Strings"), without its password: that comes from a file, from PGPASSWORD or from a
// pgpass file, the last two read by the client library. Only what is listed here is understood; anything else is refused by name.

/// <summary>Where a PostgreSQL database is, without its password.</summary>
public sealed class PostgresAddress
{
    private const string DefaultSchema = "kitmesh";
    private readonly NpgsqlConnectionStringBuilder _words;

    private PostgresAddress(NpgsqlConnectionStringBuilder words, string schema)
    {
        _words = words;
        Schema = schema;
    }

    /// <summary>The schema that holds the tables.</summary>
    public string Schema { get; }

    /// <summary>A file whose first line is the password; null when it comes from PGPASSWORD, a pgpass file, or is not asked for.</summary>
    public string? PasswordFile { get; init; }

    /// <summary>Whether a text means a PostgreSQL database.</summary>
    /// <param name="text">The text.</param>
    public static bool IsOne([NotNullWhen(true)] string? text) =>
        text is not null && (text.StartsWith("postgres:", StringComparison.OrdinalIgnoreCase) || text.StartsWith("postgresql:", StringComparison.OrdinalIgnoreCase));

    /// <summary>Reads an address.</summary>
    /// <param name="text">Such as <c>postgres://hub@db.camp:5432/trip?sslmode=verify-full</c>.</param>
    /// <param name="passwordFile">A file whose first line is the password; null for none.</param>
    /// <exception cref="FormatException">It is none, in words that repeat no password.</exception>
    public static PostgresAddress Parse(string text, string? passwordFile = null)
    {
        ArgumentNullException.ThrowIfNull(text);
        int body = text.IndexOf("://", StringComparison.Ordinal);
        if (!IsOne(text) || body < 0)
        {
            throw new FormatException("The store's address is none of PostgreSQL. Write it like postgres://hub@db.camp/trip.");
        }

        string[] parts = text[(body + 3)..].Split('?', 2);
        int at = parts[0].LastIndexOf('@');
        string user = at < 0 ? "" : parts[0][..at];
        if (user.Contains(':', StringComparison.Ordinal) || (parts.Length > 1 && parts[1].Contains("password=", StringComparison.OrdinalIgnoreCase)))
        {
            throw new FormatException("The store's address holds a password, which everybody on this machine can read in the list of processes. Leave it out, and give it by --store-password-file, in PGPASSWORD or in a pgpass file. Change it, if this machine has other users.");
        }

        string[] place = parts[0][(at + 1)..].Split('/', 2);
        if (user.Length == 0 || place.Length < 2 || place[1].Length == 0 || place[1].Contains('/', StringComparison.Ordinal))
        {
            throw new FormatException("The store's address names no user or no database. Write it like postgres://hub@db.camp/trip.");
        }

        var words = new NpgsqlConnectionStringBuilder { Username = Uri.UnescapeDataString(user), Database = Uri.UnescapeDataString(place[1]), ApplicationName = "kitmesh" };
        ReadHost(words, place[0]);
        string schema = DefaultSchema;
        SslMode? ssl = null;
        foreach (string pair in parts.Length > 1 ? parts[1].Split('&', StringSplitOptions.RemoveEmptyEntries) : [])
        {
            ReadParameter(words, pair, ref schema, ref ssl);
        }

        words.SslMode = ssl ?? (IsThisMachine(words.Host!) ? SslMode.Prefer : SslMode.Require);
        return new PostgresAddress(words, schema) { PasswordFile = passwordFile };
    }

    /// <summary>The same database with another schema.</summary>
    /// <param name="schema">Letters a to z, digits and underscores.</param>
    public PostgresAddress WithSchema(string schema) => new(_words, schema) { PasswordFile = PasswordFile };

    /// <summary>User, place and database; never a password.</summary>
    public override string ToString() =>
        string.Create(CultureInfo.InvariantCulture, $"{_words.Username}@{_words.Host}:{_words.Port}/{_words.Database}{(Schema == DefaultSchema ? "" : $" (schema {Schema})")}");

    /// <summary>What the client library is told.</summary>
    /// <exception cref="StoreFaultedException">The password file cannot be used.</exception>
    internal NpgsqlDataSource Open(PostgresStoreOptions options)
    {
        var words = new NpgsqlConnectionStringBuilder(_words.ConnectionString)
        {
            SearchPath = Schema,
            MaxPoolSize = options.Connections,
            Timeout = (int)options.ConnectTimeout.TotalSeconds,
            CommandTimeout = (int)options.StatementTimeout.TotalSeconds,
            KeepAlive = 30,
            MaxAutoPrepare = 40,
            AutoPrepareMinUsages = 3,
        };
        if (PasswordFile is { } file)
        {
            words.Password = ReadPassword(file);
        }

        return new NpgsqlDataSourceBuilder(words.ConnectionString).Build();
    }

    private static string ReadPassword(string file)
    {
        try
        {
            if (!OperatingSystem.IsWindows() && (File.GetUnixFileMode(file) & (UnixFileMode.OtherRead | UnixFileMode.GroupRead)) != 0)
            {
                throw new StoreFaultedException($"{file} can be read by other users, and it holds a password. Make it readable by this user alone (chmod 600).");
            }

            return File.ReadLines(file).FirstOrDefault()?.TrimEnd('\r') is { Length: > 0 } password
                ? password
                : throw new StoreFaultedException($"{file} is empty; its first line must be the database's password.");
        }
        catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
        {
            throw new StoreFaultedException($"The password file {file} cannot be read: {failure.Message}", failure);
        }
    }

    private static void ReadHost(NpgsqlConnectionStringBuilder words, string place)
    {
        int colon = place.LastIndexOf(':');
        if (colon > place.LastIndexOf(']'))
        {
            words.Port = int.TryParse(place[(colon + 1)..], NumberStyles.None, CultureInfo.InvariantCulture, out int port) && port is > 0 and < 65_536
                ? port
                : throw new FormatException($"\"{place[(colon + 1)..]}\" is no port.");
            place = place[..colon];
        }

        words.Host = place.Length == 0 ? "localhost" : Uri.UnescapeDataString(place.Trim('[', ']'));
    }

    private static void ReadParameter(NpgsqlConnectionStringBuilder words, string pair, ref string schema, ref SslMode? ssl)
    {
        string[] sides = pair.Split('=', 2);
        string value = Uri.UnescapeDataString(sides.Length > 1 ? sides[1] : "");
        switch (sides[0].ToLowerInvariant())
        {
            case "host":
                words.Host = value;
                break;
            case "schema" when value.Length is > 0 and <= 48 && char.IsAsciiLetterLower(value[0]) && value.All(c => char.IsAsciiLetterLower(c) || char.IsAsciiDigit(c) || c == '_'):
                schema = value;
                break;
            case "sslrootcert":
                words.RootCertificate = value;
                break;
            case "sslmode":
                ssl = value.ToLowerInvariant() switch
                {
                    "disable" => SslMode.Disable,
                    "prefer" => SslMode.Prefer,
                    "require" => SslMode.Require,
                    "verify-ca" => SslMode.VerifyCA,
                    "verify-full" => SslMode.VerifyFull,
                    _ => throw new FormatException($"\"{value}\" is no sslmode: disable, prefer, require, verify-ca or verify-full."),
                };
                break;
            default:
                throw new FormatException($"\"{sides[0]}\" in the store's address is not understood: host, schema (a-z, 0-9, _), sslmode and sslrootcert are.");
        }
    }

    private static bool IsThisMachine(string host) =>
        host.StartsWith('/') || host == "localhost" || (System.Net.IPAddress.TryParse(host, out System.Net.IPAddress? address) && System.Net.IPAddress.IsLoopback(address));
}
