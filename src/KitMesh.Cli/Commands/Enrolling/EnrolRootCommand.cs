using System.CommandLine;
using System.Security.Cryptography.X509Certificates;
using KitMesh.Agent.Identity;
using KitMesh.Cli.Frame;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;
using KitMesh.Protocol.Certificates;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol root</c>: the trip root's certificate, for phones.</summary>
internal sealed class EnrolRootCommand
{
    private readonly Option<DirectoryInfo?> _data = new("--data") { Description = "A hub's data folder. Without it: this device's identity.", HelpName = "folder" };

    public Command Build(Surroundings surroundings) =>
        new Command("root", "Print the trip root's certificate (PEM) and its pin, to install on phones before leaving. It holds no secret.")
        {
            _data,
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        using X509Certificate2 root = Read(run);
        run.Talk.Say($"Trip root, pin {KeyPin.Text(KeyPin.Of(root))}. Compare the pin on the phone before you trust it; it speaks for private addresses only.");
        if (run.Json)
        {
            run.Out.Json(new { kind = "trip_root", pin = KeyPin.Text(KeyPin.Of(root)), certificate = root.ExportCertificatePem() });
        }
        else
        {
            run.Out.Line(root.ExportCertificatePem());
        }

        return ExitCode.Good;
    }

    private X509Certificate2 Read(CommandRun run)
    {
        if (run.Get(_data) is { } data)
        {
            try
            {
                return new HubIdentityFolder(data.FullName).ReadRoot();
            }
            catch (HubStartException refused)
            {
                throw CommandFault.BadInput(refused.Message, inner: refused);
            }
        }

        return new IdentityFolder(run.IdentityFolder).TryLoad(out NodeIdentity? identity, out string? why) ? identity.Trust.Root : throw CommandFault.BadInput(why);
    }
}
