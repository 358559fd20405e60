using System.Diagnostics;
using KitMesh.Storage;
using KitMesh.Storage.Postgres;
using NodaTime;
using Npgsql;

namespace KitMesh.TestKit.Storage;

/// <summary>
/// A PostgreSQL server of its own, from the system's package: data in a folder for temporary files, a socket in the same folder, no network. It ends with the
/// process that started it, even when that one is killed: the shell around it reads from a pipe that closes then.
/// </summary>
public sealed class PostgresServer : IAsyncDisposable
{
    /// <summary>A user of the server who must say this word.</summary>
    public const string AskedPassword = "frost-on-the-zip";

    private readonly DirectoryInfo _folder;
    private readonly string _programs;
    private Process? _process;
    private int _schemas;

    private PostgresServer(string programs, DirectoryInfo folder)
    {
        _programs = programs;
        _folder = folder;
    }

    /// <summary>The folder of the server's programs, or null where there are none.</summary>
    public static string? Programs { get; } = FindPrograms();

    /// <summary>Why there is no server.</summary>
    public static string Missing => "PostgreSQL's server programs are not installed (Debian: apt install postgresql).";

    /// <summary>Makes a server and starts it.</summary>
    public static async Task<PostgresServer> StartAsync()
    {
        DirectoryInfo folder = Directory.CreateTempSubdirectory("kitmesh-pg-");
        var server = new PostgresServer(Programs ?? throw new InvalidOperationException(Missing), folder);
        if (Environment.IsPrivilegedProcess)
        {
            await RunAsync("chown", "postgres", folder.FullName);
        }

        await server.RunAsUserAsync("initdb", "-D", server.Data, "--auth=trust", "--username=hub", "--encoding=UTF8", "--no-sync");
        await File.WriteAllTextAsync(Path.Combine(server.Data, "pg_hba.conf"), "local all asked scram-sha-256\nlocal all barred reject\nlocal all all trust\n");
        await server.ResumeAsync();
        await server.RunAsync($"CREATE ROLE asked LOGIN PASSWORD '{AskedPassword}'; CREATE ROLE poor LOGIN; CREATE ROLE barred LOGIN;");
        return server;
    }

    /// <summary>Options of a store in a schema of this server.</summary>
    public PostgresStoreOptions Options(string schema, ulong journal = 9, int fold = 1, IClock? world = null, string user = "hub", string database = "postgres") => new()
    {
        Address = Address(schema, user, database),
        Stamp = new StoreStamp(journal, fold),
        World = world ?? new NodaTime.Testing.FakeClock(ReportMaker.Start),
        ConnectTimeout = TimeSpan.FromSeconds(5),
    };

    /// <summary>The address of a schema.</summary>
    public PostgresAddress Address(string schema, string user = "hub", string database = "postgres", string? passwordFile = null) => PostgresAddress.Parse(Url(schema, user, database), passwordFile);

    /// <summary>The address of a schema as a user types it.</summary>
    public string Url(string schema, string user = "hub", string database = "postgres") => $"postgres://{user}@/{database}?host={Uri.EscapeDataString(_folder.FullName)}&schema={schema}";

    /// <summary>A name that no schema has.</summary>
    public string NewSchema() => $"trip_{Interlocked.Increment(ref _schemas)}";

    /// <summary>Runs statements as the owner.</summary>
    public async Task RunAsync(string sql)
    {
        await using var connection = new NpgsqlConnection($"Host={_folder.FullName};Username=hub;Database=postgres;Pooling=false");
        await connection.OpenAsync();
#pragma warning disable CA2100 // A test's own words.
        await using var command = new NpgsqlCommand(sql, connection);
#pragma warning restore CA2100
        await command.ExecuteNonQueryAsync();
    }

    /// <summary>One value.</summary>
    public async Task<object?> AskAsync(string sql)
    {
        await using var connection = new NpgsqlConnection($"Host={_folder.FullName};Username=hub;Database=postgres;Pooling=false");
        await connection.OpenAsync();
#pragma warning disable CA2100 // A test's own words.
        await using var command = new NpgsqlCommand(sql, connection);
#pragma warning restore CA2100
        return await command.ExecuteScalarAsync();
    }

    /// <summary>Kills the server as a power cut would, but for the disk.</summary>
    public async Task CutAsync()
    {
        if (_process is { } running)
        {
            _process = null;
            await running.StandardInput.WriteLineAsync("QUIT");
            running.StandardInput.Close();
            await running.WaitForExitAsync();
            running.Dispose();
        }
    }

    /// <summary>Starts the server again and waits until it answers.</summary>
    public async Task ResumeAsync()
    {
        string[] server = AsUser(Path.Combine(_programs, "postgres"), "-D", Data, "-k", _folder.FullName, "-c", "listen_addresses=", "-c", "fsync=off", "-c", "max_connections=60");
        var start = new ProcessStartInfo("sh") { RedirectStandardInput = true, RedirectStandardError = true, RedirectStandardOutput = true };
        foreach (string word in (string[])["-c", "\"$@\" & server=$!; read how; kill -${how:-QUIT} $server; wait $server", "sh", .. server])
        {
            start.ArgumentList.Add(word);
        }

        var ready = new TaskCompletionSource(TaskCreationOptions.RunContinuationsAsynchronously);
        var said = new System.Text.StringBuilder();
        _process = new Process { StartInfo = start };
        _process.ErrorDataReceived += (_, line) =>
        {
            lock (said)
            {
                said.AppendLine(line.Data);
            }

            if (line.Data is null)
            {
                ready.TrySetException(new InvalidOperationException($"The server ended: {said}"));
            }
            else if (line.Data.Contains("ready to accept connections", StringComparison.Ordinal))
            {
                ready.TrySetResult();
            }
        };
        _process.Start();
        _process.BeginErrorReadLine();
        _process.BeginOutputReadLine();
        await ready.Task.WaitAsync(TimeSpan.FromMinutes(2));
    }

    /// <inheritdoc/>
    public async ValueTask DisposeAsync()
    {
        await CutAsync();
        _folder.Delete(recursive: true);
    }

    private string Data => Path.Combine(_folder.FullName, "data");

    private static string? FindPrograms() => Directory.Exists("/usr/lib/postgresql")
        ? Directory.GetDirectories("/usr/lib/postgresql").Select(folder => Path.Combine(folder, "bin")).Where(folder => File.Exists(Path.Combine(folder, "initdb"))).Order().LastOrDefault()
        : null;

    /// <summary>The server refuses to run as root; Debian's package brings a user for it.</summary>
    private static string[] AsUser(params string[] words) => Environment.IsPrivilegedProcess ? ["setpriv", "--reuid=postgres", "--regid=postgres", "--clear-groups", .. words] : words;

    private Task RunAsUserAsync(string program, params string[] words) => RunAsync(AsUser([Path.Combine(_programs, program), .. words]));

    private static async Task RunAsync(params string[] words)
    {
        var start = new ProcessStartInfo(words[0], words.Skip(1)) { RedirectStandardError = true, RedirectStandardOutput = true };
        using Process process = Process.Start(start)!;
        Task<string> told = process.StandardOutput.ReadToEndAsync();
        string failed = await process.StandardError.ReadToEndAsync();
        await told;
        await process.WaitForExitAsync();
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException($"{words[0]} failed: {failed}");
        }
    }
}
