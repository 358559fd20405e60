using System.Diagnostics;
using DotNet.Testcontainers.Builders;
using DotNet.Testcontainers.Images;

[assembly: AssemblyFixture(typeof(KitMesh.Container.Tests.KitMeshImage))]

namespace KitMesh.Container.Tests;

/// <summary>The image of deploy/Dockerfile with this checkout published into it, built once for all tests and only when asked for.</summary>
public sealed class KitMeshImage : IAsyncDisposable
{
    private static readonly TimeSpan LongestPublish = TimeSpan.FromMinutes(9);

    private readonly string _folder = Directory.CreateTempSubdirectory("kitmesh-image-").FullName;
    private readonly Lazy<Task<IImage>> _image;

    public KitMeshImage() => _image = new Lazy<Task<IImage>>(BuildAsync);

    public Task<IImage> GetAsync() => _image.Value;

    public ValueTask DisposeAsync()
    {
        Directory.Delete(_folder, recursive: true);
        return ValueTask.CompletedTask;
    }

    private static string CheckoutRoot()
    {
        for (DirectoryInfo? folder = new(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "KitMesh.sln")))
            {
                return folder.FullName;
            }
        }

        throw new InvalidOperationException("The tests must run from inside a checkout: no KitMesh.sln above the test folder.");
    }

    private async Task<IImage> BuildAsync()
    {
        string root = CheckoutRoot();
        string context = Directory.CreateDirectory(Path.Combine(_folder, "context")).FullName;
        await PublishAsync(root, Path.Combine(context, "artifacts", "kitmesh"));
        File.Copy(Path.Combine(root, "deploy", "Dockerfile"), Path.Combine(context, "Dockerfile"));

        var image = new ImageFromDockerfileBuilder()
            .WithDockerfileDirectory(context)
            .WithName("kitmesh-under-test:latest")
            .WithDeleteIfExists(true)
            .Build();
        await image.CreateAsync(TestContext.Current.CancellationToken);
        return image;
    }

    /// <summary>Publishes with build folders of its own, so that the checkout's own build is not disturbed.</summary>
    private async Task PublishAsync(string root, string into)
    {
        string[] words =
        [
            "publish", "src/KitMesh.Cli", "-c", "Release", "-r", "linux-x64", "--self-contained", "-v", "q",
            "--artifacts-path", Path.Combine(_folder, "build"), "-o", into,
        ];
        using Process process = Process.Start(new ProcessStartInfo("dotnet", words) { WorkingDirectory = root, RedirectStandardOutput = true })!;
        using var limit = CancellationTokenSource.CreateLinkedTokenSource(TestContext.Current.CancellationToken);
        limit.CancelAfter(LongestPublish);
        string said = await process.StandardOutput.ReadToEndAsync(limit.Token);
        await process.WaitForExitAsync(limit.Token);
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException($"dotnet publish ended with {process.ExitCode}: {said}");
        }
    }
}
